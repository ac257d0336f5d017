"""Chance levels: how many matches as good are expected by chance in this catalogue."""
