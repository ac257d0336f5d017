"""Rules of music notation shared by all outputs: note values, spelling, beats, measures, names."""
