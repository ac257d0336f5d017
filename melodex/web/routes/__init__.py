"""The pages by their addresses."""
