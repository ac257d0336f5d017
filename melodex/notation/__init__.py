"""How music is written: note values, spelling, beats, names, measures."""
