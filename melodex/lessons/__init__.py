"""The order in which to learn songs, and what of them is known already."""
