"""Scores in MusicXML, plain or zipped, and what music21 reads for melodex."""
