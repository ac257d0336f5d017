"""Arrange a melody in rolls: slots, strokes, fillers, stages."""
