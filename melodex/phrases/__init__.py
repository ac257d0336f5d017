"""Phrases that songs share, and licks that recur in a catalogue."""
