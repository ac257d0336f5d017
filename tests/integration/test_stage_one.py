"""Stage 1 on real tunes against a general-purpose library."""

import numpy as np

from melodex.index.blocks import Blocks, lay_side_by_side
from melodex.index.song_arrays import join_performances, perform
from tests.bundled import bundled_songs
from tests.reference.stage_one import disagreements


def test_a_dozen_licks_cost_in_a_collection_what_librosa_says():
    # Source: librosa 0.11. tests/benchmarks/stage_one_against_librosa.py does all collections.
    songs = bundled_songs("airdsAirs")[::4]
    arrays = join_performances([perform(song.melody, song.sections) for song in songs])
    blocks = Blocks(
        tuple(f"{number:05}" for number in range(len(songs))),
        arrays,
        lay_side_by_side(arrays.intervals, arrays.first_intervals),
    )
    compared, wrong = disagreements(blocks, licks=12, seed=1782)
    assert compared > 7_000
    assert wrong == []
    assert np.all(np.abs(arrays.intervals) <= 24)
