"""Files read in processes of their own, and written to the catalogue."""
