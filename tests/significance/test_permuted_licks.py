import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.significance.permuted_licks import permuted_lick, with_shuffled_intervals
from tests.blocks import blocks_of
from tests.strategies import melodies


@given(lick=melodies(), seed=st.integers(0, 1000))
def test_shuffling_keeps_rhythm_and_the_intervals_whatever_their_order(lick, seed):
    shuffled = with_shuffled_intervals(lick, np.random.default_rng(seed))
    np.testing.assert_array_equal(shuffled.onsets, lick.onsets)
    np.testing.assert_array_equal(shuffled.beat_strengths, lick.beat_strengths)
    if np.ptp(shuffled.pitches) < 127:
        np.testing.assert_array_equal(
            np.sort(np.diff(shuffled.pitches)), np.sort(np.diff(lick.pitches))
        )


def test_licks_come_only_from_songs_that_are_long_enough():
    songs = blocks_of([60, 62], [60, 62, 64, 65, 67], []).songs
    rng = np.random.default_rng(0)
    cut_from = [permuted_lick(songs, 4, rng) for _ in range(10)]
    assert {found[1] for found in cut_from if found} == {1}
    assert permuted_lick(songs, 6, rng) is None
