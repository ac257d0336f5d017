"""Where a lick occurs in songs: the one definition that lists, lessons and placing share."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.measure_runs import runs_of_measures
from melodex.index.blocks import Blocks
from melodex.model.melody import Melody
from melodex.phrases.families import Places, places_of_lick
from melodex.search.places import Place, written_places


class LickPlace(NamedTuple):
    """A stretch of a song, as written, that holds a lick or a part of it."""

    song: str
    first_measure: int
    last_measure: int


def places_in_songs(places: Places, blocks: Blocks) -> Iterator[tuple[str, list[Place]]]:
    """Yield the songs of a family and its places there, as written."""
    for number, passages in places:
        yield blocks.song_ids[number], written_places(blocks.songs, number, list(passages))


def places_of(
    lick: Melody, blocks: Blocks, selected: NDArray[np.int64]
) -> Iterator[tuple[str, list[Place]]]:
    """Yield the songs that have a lick, as ``recurring_licks`` lists them, and its places there.

    Parameters
    ----------
    selected : shape (n_selected,)
        The numbers of the songs to look at, ascending.
    """
    return places_in_songs(places_of_lick(lick, blocks.songs, selected), blocks)


def stretches_of(song: str, measures: tuple[int, ...]) -> Iterator[LickPlace]:
    """Yield the runs of measures of a place; two if it crosses the seam of a repeat."""
    for first, last in runs_of_measures(measures):
        yield LickPlace(song, first, last)
