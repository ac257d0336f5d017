"""How likely such a score is by chance in this catalogue."""
