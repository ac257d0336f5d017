"""What a song takes to play: rolls, slurs, techniques, demands, levels."""
