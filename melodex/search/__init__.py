"""Search which songs use a lick, or follow a shape, and where."""
