"""The local site: what the commands answer, to look at in a browser."""
