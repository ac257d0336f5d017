"""The songs of a catalogue: added, described, listed, filtered, removed."""
