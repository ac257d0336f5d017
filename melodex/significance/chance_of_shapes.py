"""How many songs would follow a shape this far by chance.

Each song's moves are modelled as independent draws from its own moves. The number of the shape's
moves that a stretch follows then has a Poisson binomial distribution, and a song has as many
stretches as its notes allow. Moves that come in runs, such as repeated notes, make fewer
independent stretches, so that for them the number is too large rather than too small.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.index.song_arrays import SongArrays


def songs_by_chance(
    followed: NDArray[np.bool_], songs: SongArrays, searched: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Return how many songs are expected to follow at least each number of moves.

    Parameters
    ----------
    followed : shape (n_moves, n_intervals), bool
        Which intervals follow which move.
    searched : shape (n_songs,), bool
        The songs searched.

    Returns
    -------
    shape (n_moves + 1,), float64
        By number of moves, from 0.

    Source
    ------
    The Poisson binomial distribution by convolution: Howard, "Discussion on Professor Cox's paper",
    J. Royal Statistical Society B 34 (1972) 210-211 (from memory).
    """
    n_moves = len(followed)
    long_enough = np.flatnonzero(np.diff(songs.first_intervals) >= n_moves)
    chosen = long_enough[searched[long_enough]]
    if not len(chosen):
        return np.zeros(n_moves + 1)
    exactly = np.zeros((len(chosen), n_moves + 1))  # distribution of moves followed
    exactly[:, 0] = 1
    for row in followed:
        share = _share_of_each_song(row, songs)[chosen]
        before = exactly.copy()
        exactly *= 1 - share[:, np.newaxis]
        exactly[:, 1:] += before[:, :-1] * share[:, np.newaxis]
    at_least = np.minimum(exactly[:, ::-1].cumsum(axis=1)[:, ::-1], 1)
    n_stretches = np.maximum(_written_notes(songs)[chosen] - n_moves, 1)[:, np.newaxis]
    with np.errstate(divide="ignore"):  # log(0): following is certain
        expected: NDArray[np.float64] = -np.expm1(n_stretches * np.log1p(-at_least)).sum(axis=0)
    return expected


def _share_of_each_song(row: NDArray[np.bool_], songs: SongArrays) -> NDArray[np.float64]:
    """Return the share of each song's intervals that is true; shape (n_songs,), NaN without any."""
    counts = np.concatenate([[0], np.cumsum(row)])[songs.first_intervals]
    with np.errstate(invalid="ignore"):
        shares: NDArray[np.float64] = np.diff(counts) / np.diff(songs.first_intervals)
    return shares


def _written_notes(songs: SongArrays) -> NDArray[np.int64]:
    """Return each song's number of notes as written: a repeat plays the same stretch again."""
    sounding = np.flatnonzero(np.diff(songs.first_notes))
    counts = np.zeros(songs.n_songs, np.int64)
    if len(sounding):
        counts[sounding] = np.maximum.reduceat(songs.written, songs.first_notes[sounding]) + 1
    return counts
