"""Note names with letter and octave."""

from collections.abc import Iterable

from melodex.model.key import Key
from melodex.model.song import Song
from melodex.notation.note_spelling import spelled


def note_name(pitch: int, key: Key | None = None) -> str:
    """Return the name of a MIDI note, C4 = 60, as spelled in a key: in G major B flat, not A sharp.

    Examples
    --------
    >>> note_name(61), note_name(67)
    ('C#4', 'G4')
    """
    letter, half_steps, octave = spelled(pitch, key)
    return f"{letter}{'#' * half_steps}{'b' * -half_steps}{octave}"


def note_names(song: Song, notes: Iterable[int]) -> str:
    """Return the names of some of a song's notes, given by their indices in the written melody."""
    return " ".join(note_name(int(song.melody.pitches[note]), song.key) for note in notes)
