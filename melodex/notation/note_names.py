"""Names of notes in letters and octaves."""

from collections.abc import Iterable

from melodex.model.key import Key
from melodex.model.song import Song
from melodex.notation.note_spelling import spelled


def note_name(pitch: int, key: Key | None = None) -> str:
    """Name a MIDI note, C4 = 60, as it is spelled in a key: B flat, not A sharp, in G major.

    Examples
    --------
    >>> note_name(61), note_name(67)
    ('C#4', 'G4')
    """
    letter, half_steps, octave = spelled(pitch, key)
    return f"{letter}{'#' * half_steps}{'b' * -half_steps}{octave}"


def note_names(song: Song, notes: Iterable[int]) -> str:
    """Return the names of some of a song's notes, by their places in the melody as written."""
    return " ".join(note_name(int(song.melody.pitches[note]), song.key) for note in notes)
