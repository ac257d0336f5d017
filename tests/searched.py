"""Licks scored in songs that are melodies alone."""

from collections.abc import Sequence

import numpy as np

from melodex.alignment.passage import PassageScores, score_songs
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.model.key import Key
from melodex.model.melody import Melody


def arrays_of(*songs: Melody, keys: Sequence[Key | None] | None = None) -> SongArrays:
    """Lay melodies out as songs without repeats, in keys where they are stated."""
    return join_performances(
        [
            perform(song, np.array([(0.0, 1e6)]), key)
            for song, key in zip(songs, keys or [None] * len(songs), strict=True)
        ]
    )


def searched(lick: Melody, *songs: Melody) -> tuple[PassageScores, SongArrays]:
    """Score a lick in songs whose keys are unknown."""
    arrays = arrays_of(*songs)
    return score_songs(lick, arrays, np.arange(len(songs))), arrays
