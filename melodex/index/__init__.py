"""The catalogue on disk."""
