"""Five-string banjo: fingerings of melodies, arrangements in rolls, and licks placed in songs."""
