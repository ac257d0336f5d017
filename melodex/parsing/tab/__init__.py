"""A reader of five-line text tab, as players type it."""
