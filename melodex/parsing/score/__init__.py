"""A reader of MusicXML scores, plain or zipped, through music21."""
