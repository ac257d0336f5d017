"""Reports and pictures, written as files."""
