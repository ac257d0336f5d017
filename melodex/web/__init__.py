"""The local site: the results of the commands in a browser."""
