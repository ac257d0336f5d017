"""Chord names as fingered by a player with a capo."""

from melodex.model.chord_names import transposed_chord
from melodex.model.song import ChordSymbol, Song


def shown_chords(song: Song, capo: int) -> list[ChordSymbol]:
    """Return a song's chords, named by the shapes played with a capo.

    Parameters
    ----------
    capo : int
        Its fret, 0 for none: with a capo at fret 2, an A is played as a G shape.
    """
    return [ChordSymbol(chord.onset, transposed_chord(chord.text, -capo)) for chord in song.chords]
