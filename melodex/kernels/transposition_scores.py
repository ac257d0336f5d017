"""The best score of one melody against another, transposition by transposition."""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.lane_columns import LANES, PairScores
from melodex.kernels.pair_alignment import Songs, align_lanes, lanes_for


@compiled
def scores_by_transposition(
    songs: Songs, song: int, scores: PairScores, ends: int, lowest: int, highest: int
) -> NDArray[np.int32]:
    """Return one song's best score at each transposition; O(lick * notes * transpositions) time.

    Parameters
    ----------
    song : int
        The index of a song with at least one note.
    ends : int
        One of ``pair_alignment.Ends``.
    lowest, highest : int
        The first and the last transposition, in half-steps from the lick to the song.

    Returns
    -------
    shape (highest - lowest + 1,), int32
    """
    lanes = lanes_for(scores)
    begin, end = int(songs.first[song]), int(songs.first[song + 1])
    found = np.empty(highest - lowest + LANES, np.int32)
    for place in range(0, highest - lowest + 1, LANES):
        align_lanes(songs, begin, end, scores, ends, lowest + place, lanes)
        for lane in range(LANES):
            found[place + lane] = lanes.best[lane]
    return found[: highest - lowest + 1]
