"""ABC notation: a reader by the 2.1 standard."""
