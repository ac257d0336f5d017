"""Read files in separate processes, and write their songs to the catalogue."""
