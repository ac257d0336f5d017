"""Which songs are versions of one tune."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.phrases.lines import lines_of
from melodex.phrases.tunes import tune_of_each_song
from tests.blocks_of_songs import blocks_of

TUNE = np.random.default_rng(5).integers(55, 80, 40).tolist()
OTHER = np.random.default_rng(6).integers(55, 80, 40).tolist()


def tunes_among(*songs):
    arrays = blocks_of(*songs).songs
    return tune_of_each_song(lines_of(arrays, np.arange(len(songs))), arrays).tolist()


def test_a_song_in_another_key_is_the_same_tune():
    assert tunes_among(OTHER, TUNE, [pitch + 5 for pitch in TUNE]) == [0, 1, 1]


def test_a_version_with_another_ending_is_the_same_tune():
    assert tunes_among(TUNE, TUNE[:30] + OTHER[:10]) == [0, 0]


def test_two_songs_that_share_a_lick_are_two_tunes():
    assert tunes_among(TUNE, OTHER[:30] + TUNE[:12]) == [0, 1]


def test_versions_of_versions_are_one_tune():
    middle = TUNE[:30] + OTHER[:30]
    assert tunes_among(TUNE, middle, OTHER) == [0, 0, 0]


@given(count=st.integers(0, 4))
def test_songs_too_short_to_compare_are_tunes_of_their_own(count):
    assert tunes_among([60, 62], *[[60, 62]] * count) == list(range(count + 1))
