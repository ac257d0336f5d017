"""Ordering songs by what they share."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.report.clustering import clustered_order


def shared_by(songs):
    """Return the matrix of songs given as sets of licks, a measure each."""
    return np.array([[len(song & other) for other in songs] for song in songs], np.int64)


licks = st.frozensets(st.integers(0, 9), min_size=1, max_size=5)


@given(st.lists(licks, max_size=12))
def test_every_song_stands_in_the_order_once(songs):
    order = clustered_order(shared_by(songs).reshape(len(songs), len(songs)))
    assert sorted(order) == list(range(len(songs)))


def test_songs_of_two_families_stand_family_by_family():
    songs = [{1, 2, 3}, {7, 8, 9}, {1, 2, 4}, {7, 8, 5}, {1, 2, 3, 4}]
    families = [song % 2 for song in clustered_order(shared_by(songs))]
    assert families in ([0, 0, 0, 1, 1], [1, 1, 0, 0, 0])


def test_a_chain_of_songs_stands_in_the_chains_order():
    chain = [{n, n + 1, n + 2, n + 3} for n in range(6)]
    shuffled = [3, 0, 5, 2, 4, 1]
    order = [shuffled[place] for place in clustered_order(shared_by([chain[n] for n in shuffled]))]
    assert order in (list(range(6)), list(range(6))[::-1])
