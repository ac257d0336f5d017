"""Melody: the notes of one voice, as arrays."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Frets, Measures, NoteNumbers, Pitches, Strengths, Strings
from melodex.errors import MelodyError

LOWEST_MIDI_NOTE, HIGHEST_MIDI_NOTE = 0, 127


@dataclass(frozen=True, slots=True, eq=False)
class AttachedNotes:
    """Notes attached to melody notes: chord tones, or grace notes before them.

    Every array has shape (n_attached,).
    """

    notes: NoteNumbers  # the melody note that each belongs to, ascending
    pitches: Pitches
    strings: Strings
    frets: Frets

    def __post_init__(self) -> None:
        _own_arrays(self, len(self.pitches))

    @classmethod
    def none(cls) -> "AttachedNotes":
        """Return empty arrays."""
        return cls(
            notes=np.empty(0, np.int32),
            pitches=np.empty(0, np.int16),
            strings=np.empty(0, np.int8),
            frets=np.empty(0, np.int8),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Melody:
    """One monophonic line of sounding notes, as written; rests are gaps between them.

    Tied notes are joined. If several notes sound together, the melody has the highest; the others
    are its chord tones. Every array has shape (n_notes,), except ``phrase_ends``.

    Raises
    ------
    MelodyError
        If lengths differ, a pitch is outside MIDI's range, a duration is not above 0, or onsets do
        not increase.
    """

    pitches: Pitches
    onsets: Beats  # quarter notes from the start of the written music
    durations: Beats  # quarter notes, above 0
    measures: Measures
    beat_strengths: Strengths  # above 0, at most 1; 0 if unknown, in free metre
    strings: Strings
    frets: Frets
    phrase_ends: NoteNumbers  # shape (n_phrases,): the last note of each marked phrase
    chord_tones: AttachedNotes = field(default_factory=AttachedNotes.none)
    grace_notes: AttachedNotes = field(default_factory=AttachedNotes.none)

    def __post_init__(self) -> None:
        _own_arrays(self, len(self.pitches))
        _check_one_voice(self.pitches, self.onsets, self.durations)

    def __len__(self) -> int:
        return len(self.pitches)


def _own_arrays(record: Melody | AttachedNotes, length: int) -> None:
    """Replace a record's arrays by read-only copies, and check that their lengths are equal."""
    for name in record.__slots__:
        value: NDArray[np.generic] | AttachedNotes = getattr(record, name)
        if isinstance(value, AttachedNotes):
            continue
        if name != "phrase_ends" and value.shape != (length,):
            raise MelodyError(
                f"A melody's {name} have shape {value.shape} where {length} notes were given.",
                "give every array one value a note.",
            )
        private_copy = value.copy()
        private_copy.setflags(write=False)
        object.__setattr__(record, name, private_copy)


def _check_one_voice(pitches: Pitches, onsets: Beats, durations: Beats) -> None:
    if not len(pitches):
        return
    if pitches.min() < LOWEST_MIDI_NOTE or pitches.max() > HIGHEST_MIDI_NOTE:
        note = int(_first(np.logical_or(pitches < LOWEST_MIDI_NOTE, pitches > HIGHEST_MIDI_NOTE)))
        raise MelodyError(
            f"Note {note + 1} has pitch {pitches[note]}, outside MIDI's 0 to 127.",
            "move the tune by whole octaves into the range.",
        )
    if not (np.isfinite(onsets).all() and np.isfinite(durations).all() and (durations > 0).all()):
        raise MelodyError(
            "A note has no length, or a time that is not a number.",
            "give each note a length above 0 quarter notes.",
        )
    rises = np.diff(onsets) > 0
    if not rises.all():
        note = int(_first(~rises)) + 1
        raise MelodyError(
            f"Note {note + 1} does not begin after the note before it.",
            "give one voice only, its notes in order of time.",
        )


def _first(condition: NDArray[np.bool_]) -> np.intp:
    return np.argmax(condition)
