"""A lick and the kinds of a catalogue's notes in the kernels' numbers, form by form."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths
from melodex.alignment.forms import Form
from melodex.alignment.learned_tables import (
    BEAT_CLASSES,
    LearnedTables,
    beat_classes,
    duration_steps,
)
from melodex.features.note_kinds import stepped_log_durations
from melodex.kernels import pair_alignment as kernel

_LARGEST_16 = 30_000  # that a score may reach in 16 bits, with room for one pair more
_LEAST_16 = -11_000  # that leaving out everything may cost, above what counts as unreached


class Line(NamedTuple):
    """The notes of a lick; arrays of equal length."""

    pitches: Pitches
    strengths: Strengths  # of the beat
    durations: Beats
    carries_melody: NDArray[np.bool_]


class Kinds(NamedTuple):
    """The kinds of a catalogue's notes; arrays of equal length."""

    strengths: NDArray[np.float32]
    log_durations: NDArray[np.float32]  # log2 of quarter notes
    carries_melody: NDArray[np.bool_]


def pair_scores(lick: Line, kinds: Kinds, form: Form, tables: LearnedTables) -> kernel.PairScores:
    """Score every note of a lick with every kind of a song's notes, in one form.

    Returns
    -------
    PairScores
        In 16 bits where no path can overflow them, else in 32.
    """
    before = np.concatenate([lick.strengths[:1], lick.strengths[:-1]])
    both = lick.durations + np.concatenate([[0.0], lick.durations[:-1]])
    repeats = np.diff(lick.pitches, prepend=-1) == 0
    match = _rhythm_scores(lick.strengths, lick.durations, kinds, form, tables)
    joined = _rhythm_scores(before, both, kinds, form, tables) + tables.split
    lick_gaps = _gap_scores(
        beat_classes(lick.strengths) + form.lick_doubled,
        ~lick.carries_melody if form.lick_filler else None,
        form,
        tables,
    )
    song_gaps = _gap_scores(
        beat_classes(kinds.strengths) + form.song_doubled,
        ~kinds.carries_melody if form.song_filler else None,
        form,
        tables,
    )
    number = _number_type(tables.of_same_note * len(repeats), lick_gaps)
    return kernel.PairScores(
        lick_pitches=lick.pitches.astype(np.int16),
        pitch=_units(_by_half_steps(tables.pitch_of(form.other_mode)), number),
        match=_units(match, number),
        split=_units(match + tables.split, number),
        joined=np.where(repeats, _units(joined, number), kernel.unreached_in(number)),
        lick_gaps=_units(lick_gaps, number),
        song_gaps=_units(song_gaps, number),
    )


def _rhythm_scores(
    strengths: Strengths, durations: Beats, kinds: Kinds, form: Form, tables: LearnedTables
) -> NDArray[np.float64]:
    """Score beats and durations; shape (n_kinds, n)."""
    scores = np.zeros((len(kinds.strengths), len(strengths)))
    if form.beats:
        own = beat_classes(strengths) + form.lick_doubled
        other = beat_classes(kinds.strengths) + form.song_doubled
        strongest = BEAT_CLASSES - 1
        scores += tables.beat[
            np.minimum(other, strongest)[:, np.newaxis], np.minimum(own, strongest)
        ]
    if form.durations:
        octaves = float(form.song_doubled) - float(form.lick_doubled)
        apart = kinds.log_durations[:, np.newaxis] - stepped_log_durations(durations) + octaves
        scores += tables.duration[duration_steps(apart)]
    return scores
