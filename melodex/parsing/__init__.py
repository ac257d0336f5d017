"""Files to songs."""
