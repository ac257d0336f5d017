"""melodex finds the melodies that songs share."""
