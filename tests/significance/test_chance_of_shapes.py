"""How many songs follow a shape by chance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.index.song_arrays import join_performances, perform
from melodex.parsing.shape_text import shape_from_text
from melodex.search.shapes import moves_followed, stretches
from melodex.significance.chance_of_shapes import songs_by_chance
from melodex.significance.permuted_licks import shuffle_songs
from tests.bundled import bundled_songs
from tests.strategies import melody_of


def arrays_of(*songs):
    return join_performances(
        [perform(song, np.array([(0.0, song.onsets[-1] + song.durations[-1])])) for song in songs]
    )


def test_the_expected_number_is_that_of_the_binomial_law():
    # By arithmetic: half of the moves go up, so a stretch of three notes follows "up, up" with
    # probability 1/4, and at least one of its moves with 3/4.
    songs = arrays_of(zigzag(9))
    followed = moves_followed(shape_from_text("up, up"), songs)
    n_stretches = 9 - 2
    expected = [1.0, 1 - (1 / 4) ** n_stretches, 1 - (3 / 4) ** n_stretches]
    found = songs_by_chance(followed, songs, np.ones(1, np.bool_))
    np.testing.assert_allclose(found, expected)


def zigzag(n_notes):
    """Return a melody in which every second move goes up."""
    return melody_of(*(60 + note % 2 for note in range(n_notes)))


@given(heights=st.lists(st.integers(55, 70), min_size=2, max_size=30))
def test_more_moves_are_never_expected_more_often_and_no_song_counts_twice(heights):
    songs = arrays_of(melody_of(*heights), zigzag(12))
    followed = moves_followed(shape_from_text("up, down, same"), songs)
    expected = songs_by_chance(followed, songs, np.ones(2, np.bool_))
    assert (np.diff(expected) <= 1e-12).all()
    assert expected[0] <= 2


def test_songs_that_are_not_searched_do_not_count():
    songs = arrays_of(zigzag(9), zigzag(12), zigzag(9))
    followed = moves_followed(shape_from_text("up, up"), songs)
    ends = songs_by_chance(followed, songs, np.array([True, False, True]))
    one = songs_by_chance(followed, songs, np.array([True, False, False]))
    np.testing.assert_allclose(ends, 2 * one)
    assert songs_by_chance(followed, songs, np.zeros(3, np.bool_)).tolist() == [0, 0, 0]


@pytest.mark.parametrize(
    "text",
    [
        "step up, leap up, same, step down",
        "up, up, down, down, up, leap down, step up",
        "step up, step up, leap up, step down, step down, leap down long",
    ],
)
def test_shuffled_tunes_follow_a_shape_about_as_often_as_expected(text):
    tunes = bundled_songs("ryansMammoth")
    songs = join_performances([perform(song.melody, song.sections) for song in tunes])
    everything = np.ones(len(tunes), np.bool_)
    shape = shape_from_text(text)
    expected = songs_by_chance(moves_followed(shape, songs), songs, everything)
    shuffled = shuffle_songs(songs, np.arange(len(tunes)), np.random.default_rng(0))
    _, best = stretches(moves_followed(shape, shuffled), shuffled)
    for n_moves in (len(shape.moves) - 1, len(shape.moves)):
        found = np.count_nonzero(best >= n_moves)
        assert found == pytest.approx(expected[n_moves], rel=0.3, abs=5)
