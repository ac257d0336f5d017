"""A reader of ABC notation, following the ABC standard 2.1."""
