"""Rhythm independent of tempo: ratios of the times between notes."""

import numpy as np

from melodex._types import Beats


def inter_onset_intervals(onsets: Beats, durations: Beats) -> Beats:
    """Return the time from the start of each note to the start of the next.

    For the last note it is its own duration. A rest counts towards the note before it, as a
    listener hears it.

    Parameters
    ----------
    onsets, durations : shape (n_notes,), quarter notes

    Returns
    -------
    shape (n_notes,), quarter notes

    Examples
    --------
    >>> inter_onset_intervals(np.array([0.0, 1.0, 3.0]), np.array([0.5, 1.0, 2.0])).tolist()
    [1.0, 2.0, 2.0]
    """
    return np.concatenate([np.diff(onsets), durations[-1:]])


def inter_onset_ratios(onsets: Beats, durations: Beats) -> Beats:
    """Return the ratio of each inter-onset interval to the one before; the same in every tempo.

    Parameters
    ----------
    onsets, durations : shape (n_notes,), quarter notes

    Returns
    -------
    shape (n_notes - 1,)
        2 if a note is twice as long as the one before, 0.5 if half as long. Empty for fewer than
        two notes.

    Examples
    --------
    >>> inter_onset_ratios(np.array([0.0, 1.0, 3.0]), np.array([0.5, 1.0, 2.0])).tolist()
    [2.0, 1.0]
    """
    intervals = inter_onset_intervals(onsets, durations)
    return intervals[1:] / intervals[:-1]
