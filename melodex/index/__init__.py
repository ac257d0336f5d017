"""The catalogue on disk: songs in SQLite, and arrays derived from them."""
