"""Tab as text and as MusicXML."""
