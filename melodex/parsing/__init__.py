"""Readers: music files, and text that a user types, become songs and licks."""
