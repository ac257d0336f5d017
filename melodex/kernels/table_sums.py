"""Sum table values over each song's notes."""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled


@compiled
def sums_by_song(
    first: NDArray[np.int64], numbers: NDArray[np.integer], table: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Sum ``table[numbers]`` over each song's notes; O(notes) time, without temporary arrays.

    Parameters
    ----------
    first : shape (n_songs + 1,)
        The start of each song.
    numbers : shape (n_notes,)
        Indices into the table.

    Returns
    -------
    shape (n_songs,), float64
    """
    sums = np.zeros(len(first) - 1)
    for song in range(len(sums)):
        for note in range(first[song], first[song + 1]):
            sums[song] += table[numbers[note]]
    return sums
