"""Writers of tab files: plain text and MusicXML."""
