"""Humdrum files with **kern spines."""
