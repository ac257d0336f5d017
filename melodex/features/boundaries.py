"""Boundaries between groups of notes, from changes of pitch, pace and sound."""

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches

# Source: Cambouropoulos, ICMC 2001 (pitch 1/4, onset 1/2, rest 1/4).
PITCH_WEIGHT, ONSET_WEIGHT, REST_WEIGHT = 0.25, 0.50, 0.25


def degree_of_change(profile: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how much each value differs from the one before it.

    Parameters
    ----------
    profile : shape (n,)
        Sizes of successive intervals, none negative (half-steps or quarter notes).

    Returns
    -------
    shape (n - 1,), float64
        |a - b| / (a + b), from 0 (no change) to 1; 0 where both are 0.

    Source
    ------
    Cambouropoulos, "The local boundary detection model (LBDM) and its application in the study of
    expressive timing", ICMC 2001.
    """
    sums = profile[1:] + profile[:-1]
    changes: NDArray[np.float64] = np.abs(np.diff(profile)) / np.where(sums > 0, sums, 1)
    return changes


def boundary_strengths(pitches: Pitches, onsets: Beats, durations: Beats) -> NDArray[np.float64]:
    """Return the strength of the boundary before each note of a melody, from 0 to 1.

    Parameters
    ----------
    pitches : shape (n_notes,), MIDI note numbers
    onsets, durations : shape (n_notes,), quarter notes

    Returns
    -------
    shape (n_notes,), float64
        Weighted sum for pitch, onsets and rests, each scaled so that its strongest boundary is 1; 1
        for the first note.

    Source
    ------
    Cambouropoulos, ICMC 2001, as above: each interval's size times its degrees of change.
    """
    if len(pitches) <= 1:
        return np.ones(len(pitches))
    rests = np.maximum(onsets[1:] - onsets[:-1] - durations[:-1], 0)
    profiles = (
        (PITCH_WEIGHT, np.abs(np.diff(pitches.astype(np.float64)))),
        (ONSET_WEIGHT, np.diff(onsets)),
        (REST_WEIGHT, rests),
    )
    total = sum(
        (weight * _strengths(profile) for weight, profile in profiles), np.zeros(len(rests))
    )
    return np.concatenate([[1.0], total])


def _strengths(profile: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return each interval's size times its changes on both sides, scaled to a maximum of 1."""
    changes = degree_of_change(profile)
    strengths: NDArray[np.float64] = profile * (np.append(changes, 0) + np.append(0, changes))
    strengths /= max(float(strengths.max()), float(np.finfo(np.float64).tiny))
    return strengths
