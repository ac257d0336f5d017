"""Names of notes in letters and octaves."""

from collections.abc import Iterable

from melodex.model.key import Key
from melodex.model.song import Song

SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLAT_NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


def note_name(pitch: int, key: Key | None = None) -> str:
    """Name a MIDI note, C4 = 60; with flats where the key's signature has them.

    Examples
    --------
    >>> note_name(61), note_name(67)
    ('C#4', 'G4')
    """
    flat = key is not None and any(shift < 0 for _, shift in key.signature)
    names = FLAT_NAMES if flat else SHARP_NAMES
    return f"{names[pitch % 12]}{pitch // 12 - 1}"


def note_names(song: Song, notes: Iterable[int]) -> str:
    """Return the names of some of a song's notes, by their places in the melody as written."""
    return " ".join(note_name(int(song.melody.pitches[note]), song.key) for note in notes)
