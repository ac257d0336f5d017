"""Build the melody of a song from the notes of one voice as written."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import NoteNumbers
from melodex.model.melody import AttachedNotes, Melody
from melodex.parsing.measures import ROUNDING, MeasureList

UNKNOWN_STRING, UNKNOWN_FRET = 0, -1  # see melodex._types
NONE_ATTACHED = AttachedNotes.none()


class AttachedNote(NamedTuple):
    """A chord tone or a grace note."""

    note: int  # index of the written note that it belongs to
    pitch: int
    string: int = UNKNOWN_STRING
    fret: int = UNKNOWN_FRET


@dataclass(frozen=True, slots=True)
class WrittenVoice:
    """The notes of one voice, sorted by time, before ties are joined.

    A reader appends to the lists as it reads; the first four always have equal lengths. ``strings``
    and ``frets`` are empty if the source gives none.
    """

    onsets: list[float] = field(default_factory=list[float])  # quarter notes from the start
    durations: list[float] = field(default_factory=list[float])  # quarter notes
    pitches: list[int] = field(default_factory=list[int])  # the highest note that sounds
    ties: list[bool] = field(default_factory=list[bool])  # whether each is tied to the next
    strings: list[int] = field(default_factory=list[int])
    frets: list[int] = field(default_factory=list[int])
    chord_tones: list[AttachedNote] = field(default_factory=list[AttachedNote])
    grace_notes: list[AttachedNote] = field(default_factory=list[AttachedNote])
    phrase_ends: list[int] = field(default_factory=list[int])  # indices of written notes


class MelodyLine(NamedTuple):
    """A melody, and the melody note of each written note."""

    melody: Melody
    note_of_written: NoteNumbers  # shape (n_written_notes,)


def melody_line(voice: WrittenVoice, measures: MeasureList) -> MelodyLine:
    """Join tied notes, and give each note its measure and its metric weight.

    Raises
    ------
    MelodyError
        If the notes overlap or are otherwise not one line (see ``Melody``).
    """
    heads, note_of_written = _join_ties(voice)
    onsets = np.array(voice.onsets, dtype=np.float64)[heads]
    durations = np.array(voice.durations, dtype=np.float64)
    measure_of = measures.measure_of(onsets)
    melody = Melody(
        pitches=np.array(voice.pitches, dtype=np.int16)[heads],
        onsets=onsets,
        durations=np.add.reduceat(durations, heads) if len(heads) else durations,
        measures=np.array(measures.numbers, dtype=np.int32)[measure_of],
        beat_strengths=measures.strengths(onsets, measure_of),
        strings=_given(voice.strings, len(voice.pitches), UNKNOWN_STRING)[heads],
        frets=_given(voice.frets, len(voice.pitches), UNKNOWN_FRET)[heads],
        phrase_ends=np.array(
            list(dict.fromkeys(note_of_written[voice.phrase_ends].tolist())), dtype=np.int32
        ),
        chord_tones=_attached(voice.chord_tones, note_of_written, once=True),
        grace_notes=_attached(voice.grace_notes, note_of_written),
    )
    return MelodyLine(melody, note_of_written)


def _join_ties(voice: WrittenVoice) -> tuple[NDArray[np.intp], NoteNumbers]:
    """Return the indices of notes that are struck, and the struck note of every written note."""
    if True not in voice.ties:
        every_note = np.arange(len(voice.pitches))
        return every_note, every_note.astype(np.int32)
    pitches = np.array(voice.pitches, dtype=np.int16)
    onsets = np.array(voice.onsets, dtype=np.float64)
    ends = onsets + np.array(voice.durations, dtype=np.float64)
    struck = np.ones(len(pitches), dtype=np.bool_)
    struck[1:] = ~(
        np.array(voice.ties, dtype=np.bool_)[:-1]
        & (pitches[1:] == pitches[:-1])
        & (np.abs(onsets[1:] - ends[:-1]) < ROUNDING)
    )
    return np.flatnonzero(struck), (np.cumsum(struck) - 1).astype(np.int32)


def _given(values: Sequence[int], length: int, unknown: int) -> NDArray[np.int8]:
    return np.array(values, dtype=np.int8) if values else np.full(length, unknown, dtype=np.int8)


def _attached(
    attached: Sequence[AttachedNote], note_of_written: NoteNumbers, *, once: bool = False
) -> AttachedNotes:
    """Attach notes to melody notes; with ``once`` a tied chord tone counts as one tone."""
    if not attached:
        return NONE_ATTACHED
    moved = [each._replace(note=int(note_of_written[each.note])) for each in attached]
    notes, pitches, strings, frets = zip(*(dict.fromkeys(moved) if once else moved), strict=True)
    return AttachedNotes(
        notes=np.array(notes, dtype=np.int32),
        pitches=np.array(pitches, dtype=np.int16),
        strings=np.array(strings, dtype=np.int8),
        frets=np.array(frets, dtype=np.int8),
    )
