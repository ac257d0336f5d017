"""The best score of one melody with one other, transposition by transposition."""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.pair_alignment import (
    LANES,
    PairScores,
    Songs,
    align_lanes,
    pitch_scores_by_distance,
)


@compiled
def scores_by_transposition(
    songs: Songs, song: int, scores: PairScores, ends: int, lowest: int, highest: int
) -> NDArray[np.int32]:
    """Return one song's best score at each transposition; O(lick * notes * transpositions) time.

    Parameters
    ----------
    song : int
        Of one note or more.
    ends : int
        One of ``pair_alignment.Ends``.
    lowest, highest : int
        The first and the last transposition, half-steps from the lick up to the song.

    Returns
    -------
    shape (highest - lowest + 1,), int32
    """
    number = scores.match.dtype.type
    cells = np.empty((len(scores.lick_pitches) + 2) * 4 * LANES, number)
    in_lick = np.empty(LANES, number)
    lane_best = np.empty(LANES, number)
    by_distance = pitch_scores_by_distance(scores)
    begin, end = int(songs.first[song]), int(songs.first[song + 1])
    found = np.empty(highest - lowest + LANES, np.int32)
    for place in range(0, highest - lowest + 1, LANES):
        align_lanes(
            songs, begin, end, scores, ends, lowest + place, by_distance, cells, in_lick, lane_best
        )
        found[place : place + LANES] = lane_best
    return found[: highest - lowest + 1]
