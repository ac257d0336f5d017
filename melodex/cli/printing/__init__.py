"""What commands print, as rich tables and text."""
