"""Intervals between successive notes."""

import numpy as np

from melodex._types import Intervals, Pitches

# Wider leaps are clipped to two octaves: no tune for voice or five-string banjo needs more, and an
# interval difference then fits into 8 bits, so that kernels can sum many at once.
LARGEST_INTERVAL = 24


def melodic_intervals(pitches: Pitches) -> Intervals:
    """Return the interval from each note to the next; the same in every key.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers

    Returns
    -------
    shape (n_notes - 1,), half-steps, up is positive
        Empty for fewer than two notes.

    Examples
    --------
    >>> melodic_intervals(np.array([60, 67, 65], dtype=np.int16)).tolist()
    [7, -2]
    """
    return np.diff(pitches)


def clipped_intervals(pitches: Pitches, *, limit: int = LARGEST_INTERVAL) -> Intervals:
    """Return intervals as ``melodic_intervals`` does, clipped to ``limit`` half-steps.

    Examples
    --------
    >>> clipped_intervals(np.array([40, 90, 88], dtype=np.int16)).tolist()
    [24, -2]
    """
    return np.clip(melodic_intervals(pitches), -limit, limit)
