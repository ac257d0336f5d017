"""What can be computed from one song: intervals, rhythm, key, chords, rolls, techniques, levels."""
