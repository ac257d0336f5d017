"""A melody arranged in rolls: slots, strokes, fillers, stages."""
