"""Frozen records of the things melodex speaks about; no files, no algorithms."""
