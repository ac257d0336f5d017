"""The songs that a search covers, by their index in the arrays."""

import numpy as np
from numpy.typing import NDArray

from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.index.blocks import Blocks
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter


def searched_songs(catalogue: Catalogue, blocks: Blocks, which: SongFilter) -> NDArray[np.bool_]:
    """Return for each song of the arrays whether a filter chooses it; shape (n_songs,).

    Raises
    ------
    UnknownValueError
        If no song has a value of the filter.
    """
    if which == EVERY_SONG:
        return np.ones(len(blocks.song_ids), np.bool_)
    chosen = frozenset(chosen_songs(catalogue, which))
    return np.array([song_id in chosen for song_id in blocks.song_ids], np.bool_)
