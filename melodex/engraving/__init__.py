"""Engrave songs for HTML pages, with sound."""
