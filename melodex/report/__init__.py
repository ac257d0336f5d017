"""Results to paper and page."""
