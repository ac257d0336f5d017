"""Frozen records of melodex's concepts; no files, no algorithms."""
