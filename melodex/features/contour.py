"""Contour: whether a melody rises, falls or stays, regardless of interval sizes."""

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from melodex._types import Pitches
from melodex.features.intervals import melodic_intervals

Contour: TypeAlias = NDArray[np.int8]
"""Classes of melodic motion from falling (negative) to rising (positive); 0 = the same pitch."""

# A step is a minor or major second, anything wider is a leap: common practice, no source.
WIDEST_STEP = 2  # half-steps


def three_class_contour(pitches: Pitches) -> Contour:
    """Return the direction to each note: down (-1), the same (0) or up (1).

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers

    Returns
    -------
    shape (n_notes - 1,)
        Empty for fewer than two notes.
    """
    return np.sign(melodic_intervals(pitches)).astype(np.int8)


def five_class_contour(pitches: Pitches) -> Contour:
    """Return the direction to each note, and whether by step or by leap.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers

    Returns
    -------
    shape (n_notes - 1,)
        Leap down (-2), step down (-1), the same (0), step up (1), leap up (2); a step is at most
        ``WIDEST_STEP`` half-steps.

    Examples
    --------
    >>> five_class_contour(np.array([60, 62, 65, 64, 64, 57], dtype=np.int16)).tolist()
    [1, 2, -1, 0, -2]
    """
    intervals = melodic_intervals(pitches)
    size_class = np.where(np.abs(intervals) > WIDEST_STEP, 2, 1)
    return (np.sign(intervals) * size_class).astype(np.int8)
