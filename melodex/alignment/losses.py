"""Losses of a lick's notes against the most that they can score, in bytes.

Every path passes each note of the lick once: in a pair, as one of two that are joined, or in a gap.
So the score of a path is the most that the notes can score together, minus the loss of each step.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.passage import in_units, share_out
from melodex.index.song_arrays import SongArrays
from melodex.kernels.lane_columns import MOST_LOST, PairScores
from melodex.kernels.least_losses import best_of_losses
from melodex.kernels.pair_alignment import UNIT, Songs


class Losses(NamedTuple):
    """Scores as losses, rounded down, so that they bound the score of every path from above."""

    losses: PairScores  # bytes, in steps
    most: int  # the most that all notes of the lick can score together, in the kernels' units
    span: int  # the units in ``MOST_LOST`` steps

    def in_steps(self, bonus: NDArray[np.int64]) -> NDArray[np.int64]:
        """Round units up to steps; shape as given."""
        steps: NDArray[np.int64] = -(-bonus * MOST_LOST // self.span)
        return steps

    def in_units(self, gained: NDArray[np.int32]) -> NDArray[np.int64]:
        """Return the upper bounds of scores, from bonus minus losses in steps; shape as given."""
        scores: NDArray[np.int64] = self.most + gained.astype(np.int64) * self.span // MOST_LOST
        return scores


def losses_of(scores: PairScores, least: int) -> Losses:
    """Convert scores to losses, in steps such that ``MOST_LOST`` means below a least score.

    Parameters
    ----------
    scores : PairScores
        The scores of leaving out a note of the song must not be above 0.
    least : int
        In the kernels' units; lower scores need not be distinguished.
    """
    highest = int(scores.pitch.max())
    most = _most_of_notes(scores, highest)
    both = most + np.concatenate([[0], most[:-1]])
    span = max(1, int(most.sum()) - least + 1)

    def steps(most: int | NDArray[np.int64], scored: NDArray[np.integer]) -> NDArray[np.uint8]:
        lost = (most - scored.astype(np.int64)) * MOST_LOST // span
        return np.minimum(lost, MOST_LOST).astype(np.uint8)

    losses = PairScores(
        lick_pitches=scores.lick_pitches,
        pitch=steps(highest, scores.pitch),
        match=steps(most - highest, scores.match),
        split=steps(most - highest, scores.split),
        joined=steps(both - highest, scores.joined),
        lick_gaps=steps(most, scores.lick_gaps),
        song_gaps=steps(0, scores.song_gaps),
    )
    return Losses(losses, int(most.sum()), span)


def _most_of_notes(scores: PairScores, highest: int) -> NDArray[np.int64]:
    """Return the most that each note of a lick can score; two that are joined score no more.

    Parameters
    ----------
    highest : int
        The highest pitch score.
    """
    pairs = np.maximum(scores.match, scores.split).max(axis=0).astype(np.int64) + highest
    most: NDArray[np.int64] = np.maximum(pairs, scores.lick_gaps.max(axis=0))
    joined = scores.joined.max(axis=0).astype(np.int64) + highest
    for note in range(1, len(most)):
        most[note] = max(most[note], joined[note] - most[note - 1])
    return most


def bound_by_losses(
    notes: Songs,
    songs: SongArrays,
    selected: NDArray[np.int64],
    scores: PairScores,
    bonus: NDArray[np.float64],
    least: float,
) -> NDArray[np.float32]:
    """Bound the results of ``scan_songs`` from above, in half its time.

    Parameters
    ----------
    least : float
        Nats, bonus included; songs with lower scores need not be distinguished.

    Returns
    -------
    shape (n_selected,), float32
        Nats, bonus included.
    """
    of_tonics = in_units(bonus)
    lost = losses_of(scores, math.floor(UNIT * least) - int(of_tonics.max()))
    in_steps = lost.in_steps(of_tonics)
    best = np.empty(len(selected), np.int32)

    def scan(share: slice) -> None:
        best_of_losses(
            notes, selected[share], lost.losses, in_steps, songs.song_tonics, best[share]
        )

    share_out(scan, np.diff(songs.first_notes)[selected])
    return (lost.in_units(best) / UNIT).astype(np.float32)
