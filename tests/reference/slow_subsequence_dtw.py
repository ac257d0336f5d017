"""The slow, obvious twin of the compiled subsequence warping kernels."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

# (query values, song values) that one step moves on by.
STEPS = {
    "hold": ((1, 1), (1, 0), (0, 1)),  # either side may hold a value while the other moves
    "skip": ((1, 1), (1, 2), (2, 1)),  # either side may leave out one value at a time
}


def subsequence_dtw_twin(
    query: Sequence[float], song: Sequence[float], steps: str
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Warp the whole of a query onto any stretch of a song.

    The path may begin and end at any place of the song, but it begins with the query's first
    value: no step leads into row 1 from before row 0, so the first value is never left out.

    Parameters
    ----------
    query, song : intervals in half-steps, or any numbers
    steps : "hold" or "skip"

    Returns
    -------
    accumulated_cost : shape (n_query, n_song)
        The least sum of |query - song| over a path that ends in each cell; infinite where none
        ends.
    last_row : shape (n_song,)
        The cost of the best match that ends at each place of the song.

    Source
    ------
    Müller, Fundamentals of Music Processing, 2015, section 7.2.3.
    """
    cost = np.full((len(query), len(song)), np.inf)
    for i, query_value in enumerate(query):
        for j, song_value in enumerate(song):
            cheapest = 0.0 if i == 0 else np.inf
            for query_step, song_step in STEPS[steps]:
                if i >= query_step and j >= song_step:
                    cheapest = min(cheapest, cost[i - query_step, j - song_step])
            cost[i, j] = cheapest + abs(float(query_value) - float(song_value))
    return cost, cost[-1].copy()
