"""Compiled loops over arrays: no files, no musical records."""
