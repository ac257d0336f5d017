"""Order songs so that those that share much are adjacent."""

from typing import Any

import numpy as np
from numpy.typing import NDArray


def clustered_order(shared: NDArray[np.float64]) -> list[int]:
    """Return songs ordered by average linkage, with similar leaves adjacent.

    The distance of two songs is the share of their combined material that they do not have in
    common (Jaccard's distance).

    Parameters
    ----------
    shared : shape (n_songs, n_songs), float64
        The material that two songs share, symmetric; the diagonal is all of a song, above 0.

    Returns
    -------
    list of int
        A permutation of the songs' indices.

    Source
    ------
    Bar-Joseph, Gifford, Jaakkola, "Fast optimal leaf ordering for hierarchical clustering",
    Bioinformatics 17 suppl. 1, 2001, as implemented by SciPy.
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
