"""Melodies to test with: one built by hand, and hypothesis strategies for random ones."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from melodex._types import Intervals, Pitches
from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.song import MeasureGrid, Song, Source

BEATS_IN_A_MEASURE = 4.0
LONGEST_TRANSPOSITION = 24  # random melodies leave this much room on either side

_TONICS = [letter + accidental for letter in "CDEFGAB" for accidental in ("", "#", "b")]
_METRES = [(2, 4), (3, 4), (4, 4), (2, 2), (6, 8), (9, 8), (12, 8), (5, 4), (7, 8)]
_NOTE_VALUES = [0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 1 / 3, 2 / 3]  # quarter notes
_REST_VALUES = [0.0, 0.0, 0.0, 0.0, 0.5, 1.0]  # most notes follow without a rest


def melody_of(
    *pitches: int,
    onsets: Sequence[float] | None = None,
    durations: Sequence[float] | None = None,
    beat_strengths: Sequence[float] | None = None,
    phrase_ends: Sequence[int] = (),
) -> Melody:
    """Build a melody from MIDI pitches, in quarter notes of 4/4 unless told otherwise.

    Durations without onsets follow each other; onsets without durations sound until the next
    onset, the last note for one quarter. Without ``beat_strengths`` all are 1.
    """
    count = len(pitches)
    if durations is None:
        durations = [1.0] * count if onsets is None else [*np.diff(onsets), 1.0][:count]
    if onsets is None:
        onsets = (np.cumsum(durations) - durations).tolist()
    return Melody(
        pitches=np.array(pitches, dtype=np.int16),
        onsets=np.array(onsets, dtype=np.float64),
        durations=np.array(durations, dtype=np.float64),
        measures=(np.array(onsets) // BEATS_IN_A_MEASURE + 1).astype(np.int32),
        beat_strengths=np.ones(count) if beat_strengths is None else np.array(beat_strengths),
        strings=np.zeros(count, dtype=np.int8),
        frets=np.full(count, -1, dtype=np.int8),
        phrase_ends=np.array(phrase_ends, dtype=np.int32),
    )


def song_of(
    melody: Melody,
    *,
    title: str = "The Green Gate",
    sections: Sequence[tuple[float, float]] | None = None,
    key: Key | None = None,
) -> Song:
    """Build a song in 4/4 around a melody; without ``sections`` it is played once through."""
    length = float(melody.onsets[-1] + melody.durations[-1]) if len(melody) else 0.0
    measure_onsets = np.arange(0.0, max(length, BEATS_IN_A_MEASURE), BEATS_IN_A_MEASURE)
    return Song(
        title=title,
        melody=melody,
        measures=MeasureGrid(
            onsets=measure_onsets,
            numbers=np.arange(1, len(measure_onsets) + 1, dtype=np.int32),
        ),
        sections=np.array([(0.0, length)] if sections is None else sections),
        source=Source(file="evening_class.abc", tune="1"),
        key=key,
        metre=Metre(4, 4),
    )


@st.composite
def melodies(
    draw: st.DrawFn,
    *,
    min_notes: int = 1,
    max_notes: int = 40,
    pitches: st.SearchStrategy[int] | None = None,
) -> Melody:
    """Random melodies with rests, dotted values and triplets, free to move two octaves."""
    if pitches is None:
        pitches = st.integers(LONGEST_TRANSPOSITION, 127 - LONGEST_TRANSPOSITION)
    note = st.tuples(pitches, st.sampled_from(_NOTE_VALUES), st.sampled_from(_REST_VALUES))
    notes = draw(st.lists(note, min_size=min_notes, max_size=max_notes))
    durations = [duration for _, duration, _ in notes]
    steps = [duration + rest for _, duration, rest in notes]
    onsets = [sum(steps[:place]) for place in range(len(steps))]
    return melody_of(*(pitch for pitch, _, _ in notes), onsets=onsets, durations=durations)


def songs(*, min_notes: int = 1, max_notes: int = 40) -> st.SearchStrategy[Song]:
    """Random songs without repeats, in a random key."""
    return st.builds(
        lambda melody, key: song_of(melody, key=key),
        melodies(min_notes=min_notes, max_notes=max_notes),
        keys(),
    )


def keys() -> st.SearchStrategy[Key]:
    """Every tonic up to one sharp or flat, in every mode, with its signature."""
    return st.builds(
        lambda tonic, mode: Key(tonic, mode, signature_of(tonic, mode)),
        st.sampled_from(_TONICS),
        st.sampled_from(sorted(SHARPS_OF_MODE)),
    )


def metres() -> st.SearchStrategy[Metre]:
    """The metres that folk tunes are written in."""
    return st.sampled_from(_METRES).map(lambda fraction: Metre(*fraction))


def pitch_lines(*, min_size: int = 0, max_size: int = 40) -> st.SearchStrategy[Pitches]:
    """Random arrays of MIDI pitches, free to move two octaves."""
    heights = st.integers(LONGEST_TRANSPOSITION, 127 - LONGEST_TRANSPOSITION)
    return st.lists(heights, min_size=min_size, max_size=max_size).map(
        lambda line: np.array(line, dtype=np.int16)
    )


def interval_lines(
    *, min_size: int = 1, max_size: int = 40, limit: int = 24
) -> st.SearchStrategy[Intervals]:
    """Random arrays of intervals between ``-limit`` and ``limit`` half-steps."""
    return st.lists(st.integers(-limit, limit), min_size=min_size, max_size=max_size).map(
        lambda line: np.array(line, dtype=np.int16)
    )


def transposed(melody: Melody, semitones: int) -> Melody:
    """Move every note of a melody, attached ones too, by the same number of half-steps."""
    chord_tones, grace_notes = melody.chord_tones, melody.grace_notes
    return replace(
        melody,
        pitches=melody.pitches + np.int16(semitones),
        chord_tones=replace(chord_tones, pitches=chord_tones.pitches + np.int16(semitones)),
        grace_notes=replace(grace_notes, pitches=grace_notes.pitches + np.int16(semitones)),
    )


def in_tempo(melody: Melody, factor: float) -> Melody:
    """Stretch every onset and duration of a melody by the same factor."""
    return replace(melody, onsets=melody.onsets * factor, durations=melody.durations * factor)
