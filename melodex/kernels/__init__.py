"""Compiled loops over arrays: no files, no music."""
