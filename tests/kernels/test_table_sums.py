"""Sums by song against numpy's own."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.kernels.table_sums import sums_by_song

TABLE = np.array([0.0, 1.0, -2.5, 0.25])


@given(songs=st.lists(st.lists(st.integers(0, len(TABLE) - 1), max_size=6), max_size=5))
def test_each_song_has_the_sum_over_its_notes(songs):
    first = np.cumsum([0, *map(len, songs)])
    numbers = np.array([number for song in songs for number in song], np.int32)
    expected = [TABLE[song].sum() if song else 0.0 for song in songs]
    assert sums_by_song(first, numbers, TABLE).tolist() == expected
