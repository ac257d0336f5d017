"""Standard MIDI Files: what was played, and the rhythm that was meant."""
