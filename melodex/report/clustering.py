"""An order of songs in which those that share much stand side by side."""

from typing import Any

import numpy as np
from numpy.typing import NDArray


def clustered_order(shared: NDArray[np.float64]) -> list[int]:
    """Order songs by average linkage, the closest leaves next to each other.

    Two songs are as far apart as the part of all they have together that they do not share
    (Jaccard's distance).

    Parameters
    ----------
    shared : shape (n_songs, n_songs), float64
        What two songs share, symmetric; on the diagonal all that a song has, above 0.

    Returns
    -------
    list of int
        Every song's number once.

    Source
    ------
    Bar-Joseph, Gifford, Jaakkola, "Fast optimal leaf ordering for hierarchical clustering",
    Bioinformatics 17 suppl. 1, 2001, as SciPy has it.
    """
    from scipy.cluster import hierarchy

    songs = len(shared)
    if songs <= 1:
        return list(range(songs))
    own = np.diag(shared)
    together = own[:, np.newaxis] + own - shared
    distances = 1 - shared / together
    pairs = distances[np.triu_indices(songs, k=1)]
    tree: Any = hierarchy.linkage(pairs, method="average", optimal_ordering=True)
    order: list[int] = hierarchy.leaves_list(tree).tolist()
    return order
