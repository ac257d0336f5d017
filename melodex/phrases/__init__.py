"""The phrases that songs share."""
