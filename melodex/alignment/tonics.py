"""The evidence of tonics: whether those of lick and song agree."""

import numpy as np
from numpy.typing import NDArray

from melodex._types import Pitches
from melodex.alignment.learned_tables import LearnedTables
from melodex.model.key import Key

PITCH_CLASSES = 12


def tonic_scores(pitches: Pitches, key: Key | None, tables: LearnedTables) -> NDArray[np.float64]:
    """Score where a song's tonic falls among a lick's pitch classes.

    Parameters
    ----------
    pitches : shape (n,)
        Of the lick.
    key : Key or None
        Its stated key; if there is none, the probability of each tonic is estimated from the notes.

    Returns
    -------
    shape (12,)
        Nats, by the pitch class of the song's tonic after it is transposed back to the lick:
        positive where the lick's tonic probably is, negative elsewhere, near 0 if it is uncertain.
    """
    stated = key.tonic_pitch_class if key else None
    if stated is None:
        likely = tonic_probabilities(pitches, tables)
    else:
        likely = np.eye(PITCH_CLASSES)[stated]
    scores: NDArray[np.float64] = np.log(
        1 - tables.tonics_meet + tables.tonics_meet * PITCH_CLASSES * likely
    )
    return scores


def tonic_probabilities(pitches: Pitches, tables: LearnedTables) -> NDArray[np.float64]:
    """Return the probability that each pitch class is the tonic of some notes; shape (12,), sum 1.

    Source
    ------
    Temperley, "Music and Probability", 2007, chapter 6: Bayes' rule on the scale degrees that a key
    would make of the notes (from memory); here with the degrees' frequencies in the learned tables.
    """
    tonics = np.arange(PITCH_CLASSES)
    degrees = (pitches.astype(np.int64)[:, np.newaxis] - tonics) % PITCH_CLASSES
    by_mode = tables.degrees[:, degrees].sum(axis=1)  # [mode, tonic]
    weights = np.exp(by_mode - by_mode.max()).sum(axis=0)
    probabilities: NDArray[np.float64] = weights / weights.sum()
    return probabilities
