"""Intervals: how far each note lies from the one before."""

import numpy as np

from melodex._types import Intervals, Pitches

# Wider leaps count as two octaves: no tune for voice or five-string banjo needs more, and small
# numbers let the kernels sum many at once (an interval difference then fits into 8 bits).
LARGEST_INTERVAL = 24


def melodic_intervals(pitches: Pitches) -> Intervals:
    """Measure the step from each note to the next; the same in every key.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers

    Returns
    -------
    shape (n_notes - 1,), half-steps, up is positive
        Empty for a single note and for none.

    Examples
    --------
    >>> melodic_intervals(np.array([60, 67, 65], dtype=np.int16)).tolist()
    [7, -2]
    """
    return np.diff(pitches)


def clipped_intervals(pitches: Pitches, *, limit: int = LARGEST_INTERVAL) -> Intervals:
    """Measure intervals as ``melodic_intervals`` does, none wider than ``limit`` half-steps.

    Examples
    --------
    >>> clipped_intervals(np.array([40, 90, 88], dtype=np.int16)).tolist()
    [24, -2]
    """
    return np.clip(melodic_intervals(pitches), -limit, limit)
