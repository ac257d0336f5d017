"""Chord names as a player behind a capo fingers them."""

from melodex.model.chord_names import transposed_chord
from melodex.model.song import ChordSymbol, Song


def shown_chords(song: Song, capo: int) -> list[ChordSymbol]:
    """Return a song's chords, named by the shapes that sound them behind a capo.

    Parameters
    ----------
    capo : int
        Its fret, 0 for none: behind a capo at fret 2 an A is held as a G.
    """
    return [ChordSymbol(chord.onset, transposed_chord(chord.text, -capo)) for chord in song.chords]
