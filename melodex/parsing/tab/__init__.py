"""Five-line text tab, as players type it."""
