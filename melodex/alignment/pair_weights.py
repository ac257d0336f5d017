"""How much a pair of notes is worth by beat and duration, whatever the pitches."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Strengths
from melodex.features.note_kinds import stepped_log_durations

LARGEST_LOG_RATIO = 2  # durations farther apart than 1 : 4 are simply different


class Weighing(NamedTuple):
    """What is lost where beats or durations differ; see ``AlignmentSettings``."""

    beat_weight: float
    duration_weight: float


class Rhythm(NamedTuple):
    """Where notes stand in the measure and how long they last; arrays of equal length."""

    strengths: NDArray[np.float32]  # of the beat, 0 to 1
    log_durations: NDArray[np.float32]  # log2 of quarter notes


def rhythm_of(strengths: Strengths, durations: Beats) -> tuple[Rhythm, Rhythm]:
    """Give the rhythm of notes, and that of each note and the one before as one.

    Two as one stand where the first stands; what is told of the first note means nothing.
    """
    single = Rhythm(strengths.astype(np.float32), stepped_log_durations(durations))
    both = np.concatenate([durations[:1], durations[1:] + durations[:-1]])
    before = np.concatenate([single.strengths[:1], single.strengths[:-1]])
    return single, Rhythm(before, stepped_log_durations(both))


def pair_weights(own: Rhythm, other: Rhythm, weighing: Weighing) -> NDArray[np.float32]:
    """Weigh every pair of two rows of notes by beat and duration.

    Returns
    -------
    shape (n_other, n_own), float32
        0 to 1.
    """
    beats_apart = np.abs(other.strengths[:, np.newaxis] - own.strengths)
    log_ratio = np.abs(other.log_durations[:, np.newaxis] - own.log_durations)
    by_beat = 1 - np.float32(weighing.beat_weight) * beats_apart
    by_duration = 1 - np.float32(weighing.duration_weight) * np.minimum(
        LARGEST_LOG_RATIO, log_ratio
    )
    weights: NDArray[np.float32] = by_beat * by_duration
    return weights
