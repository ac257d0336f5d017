"""Derived arrays of a few songs, for tests of searching."""

from collections.abc import Sequence

import numpy as np

from melodex.index.blocks import Blocks, lay_side_by_side
from melodex.index.song_arrays import join_performances, perform
from tests.strategies import melody_of


def blocks_of(*songs: Sequence[int]) -> Blocks:
    """Lay out songs given by their pitches, each played once; ids rise in the order given."""
    melodies = [melody_of(*pitches) for pitches in songs]
    arrays = join_performances(
        [perform(melody, np.array([(0.0, len(melody))])) for melody in melodies]
    )
    ids = tuple(f"song-{number:05}" for number in range(len(songs)))
    return Blocks(ids, arrays, lay_side_by_side(arrays.intervals, arrays.first_intervals))
