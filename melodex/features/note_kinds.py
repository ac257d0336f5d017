"""Kinds of notes: groups whose notes have the same weights in an alignment.

A catalogue has millions of notes, but few different beat strengths and durations, so weights are
computed once for each kind.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Strengths
from melodex.features.scale_classes import SCALE_CLASSES

# Durations are rounded to a twenty-fourth of an octave, about 3 %, which is finer than players keep
# to; otherwise every tempo drift in a MIDI file would make a new kind.
STEPS_PER_DOUBLING = 24
_STRENGTH_STEPS = 1 << 10  # in a unit of beat strength
_MOST_STEPS = 80 * STEPS_PER_DOUBLING  # far beyond the longest and the shortest notes


class NoteKinds(NamedTuple):
    """Notes, sorted into kinds."""

    kinds: NDArray[np.uint16]  # shape (n_notes,)
    joined_kinds: NDArray[np.uint16]  # of each note merged with the one before it
    strengths: NDArray[np.float32]  # shape (n_kinds,): beat strength of each kind
    log_durations: NDArray[np.float32]  # log2 of quarter notes
    carries_melody: NDArray[np.bool_]
    scale: NDArray[np.int8]  # see scale_classes.py


def stepped_log_durations(durations: Beats) -> NDArray[np.float32]:
    """Return log2 of durations in quarter notes, rounded to steps; same shape."""
    steps = np.rint(np.log2(durations) * STEPS_PER_DOUBLING)
    stepped: NDArray[np.float32] = (steps / STEPS_PER_DOUBLING).astype(np.float32)
    return stepped


def _steps(values: NDArray[np.float64]) -> NDArray[np.int32]:
    return np.rint(values).astype(np.int32)


def note_kinds(
    strengths: Strengths,
    durations: Beats,
    carries_melody: NDArray[np.bool_],
    scale: NDArray[np.int8],
) -> NoteKinds:
    """Group notes by beat strength, duration, scale, and whether they carry the melody.

    Parameters
    ----------
    strengths, durations, carries_melody, scale : shape (n_notes,)
        In order. Two merged notes have the first one's strength and scale, the sum of their
        durations, and do not carry the melody. For ``scale`` see scale_classes.py.
    """
    both = np.concatenate([durations[:1], durations[1:] + durations[:-1]])
    steps = _steps(np.concatenate([np.log2(durations), np.log2(both)]) * STEPS_PER_DOUBLING)
    np.clip(steps, -_MOST_STEPS, _MOST_STEPS, out=steps)
    shortest = steps.min(initial=0)
    n_steps = steps.max(initial=0) - shortest + 1
    of_beats = _steps(strengths * _STRENGTH_STEPS)
    of_both = SCALE_CLASSES * of_beats + scale
    others = np.concatenate([2 * of_both + carries_melody, 2 * of_both[:1], 2 * of_both[:-1]])
    codes = others * n_steps + (steps - shortest)
    is_present = np.zeros(codes.max(initial=0) + 1, np.bool_)  # faster than sorting
    is_present[codes] = True
    present, kinds = np.flatnonzero(is_present), (np.cumsum(is_present, dtype=np.int32) - 1)[codes]
    others, steps_present = np.divmod(present, n_steps)
    return NoteKinds(
        kinds=kinds[: len(durations)].astype(np.uint16),
        joined_kinds=kinds[len(durations) :].astype(np.uint16),
        strengths=(others // 2 // SCALE_CLASSES / _STRENGTH_STEPS).astype(np.float32),
        log_durations=((steps_present + shortest) / STEPS_PER_DOUBLING).astype(np.float32),
        carries_melody=others % 2 == 1,
        scale=(others // 2 % SCALE_CLASSES).astype(np.int8),
    )
