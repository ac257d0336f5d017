"""Rhythm, free of tempo: how the times between notes compare."""

import numpy as np

from melodex._types import Beats


def inter_onset_intervals(onsets: Beats, durations: Beats) -> Beats:
    """Measure the time from the start of each note to the start of the next.

    The last note has no next one; it lasts as long as it sounds. Rests elsewhere count towards
    the note before them, as a listener hears them.

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
    """Compare each inter-onset interval with the one before it; the same in every tempo.

    Parameters
    ----------
    onsets, durations : shape (n_notes,), quarter notes

    Returns
    -------
    shape (n_notes - 1,)
        2 where a note is twice as long as the one before, 0.5 where half as long. Empty for a
        single note and for none.

    Examples
    --------
    >>> inter_onset_ratios(np.array([0.0, 1.0, 3.0]), np.array([0.5, 1.0, 2.0])).tolist()
    [2.0, 1.0]
    """
    intervals = inter_onset_intervals(onsets, durations)
    return intervals[1:] / intervals[:-1]
