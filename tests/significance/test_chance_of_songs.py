"""How many songs would by chance be as similar to a song."""

from dataclasses import replace

import numpy as np
import pytest

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.significance.chance_of_songs import (
    SongChance,
    fit_chance_of_songs,
    songs_expected_by_chance,
)
from melodex.significance.permuted_licks import shuffle_songs
from melodex.significance.song_sample import only_songs
from tests.blocks_of_songs import blocks_of
from tests.bundled import short_songs

SONGS = 60
SHUFFLED = 50


@pytest.fixture(scope="module")
def songs() -> SongArrays:
    """Return short tunes of a bundled book."""
    chosen = short_songs("ryansMammoth")[:SONGS]
    return join_performances([perform(song.melody, song.sections) for song in chosen])


@pytest.fixture(scope="module")
def model(songs):
    return fit_chance_of_songs(songs, seed=1)


def levels_of(model: SongChance, song: int, compared: WholeSongs, limit: int | None):
    others = np.arange(SONGS)[np.arange(SONGS) != song]
    found = most_alike(song, compared, others, limit=limit)
    levels = songs_expected_by_chance(model, song, compared, found)
    assert levels is not None
    return levels


def test_shuffled_songs_are_like_about_as_many_as_expected(songs, model):
    # Shuffles that the fit has not seen; the full table, on all bundled songs, is printed by
    # tests/benchmarks/chance_counts_of_songs.py.
    rng = np.random.default_rng(2)
    querying = np.arange(SONGS, SONGS + SHUFFLED)
    came_from = rng.choice(SONGS, SHUFFLED)
    sample = only_songs(songs, np.append(np.arange(SONGS), came_from))
    compared = whole_songs(shuffle_songs(sample, querying, rng))
    found = np.zeros(2)
    for song in querying.tolist():
        levels = levels_of(model, song, compared, 6)
        found += [np.count_nonzero(levels <= level) / SHUFFLED for level in (1, 4)]
    assert 1 / 3 < found[0] < 3
    assert 2 < found[1] < 8


def test_a_song_more_alike_is_never_expected_more_often_and_the_limit_changes_no_level(
    songs, model
):
    compared = whole_songs(songs)
    levels = levels_of(model, 3, compared, None)
    assert (np.diff(levels) >= 0).all()
    assert levels.max() <= SONGS / 10
    np.testing.assert_array_equal(levels_of(model, 3, compared, 5), levels[:5])


def test_a_song_of_the_background_is_not_measured_by_its_likeness_to_itself(songs, model):
    assert 3 in model.background
    without = replace(model, background=tuple(song for song in model.background if song != 3))
    compared = whole_songs(songs)
    np.testing.assert_array_equal(
        levels_of(model, 3, compared, None), levels_of(without, 3, compared, None)
    )


def test_the_same_song_in_another_key_is_not_likely_coincidence(songs, model):
    twice = only_songs(songs, np.append(np.arange(SONGS), 3))
    found = most_alike(SONGS, whole_songs(twice), np.arange(SONGS), limit=1)
    levels = songs_expected_by_chance(model, SONGS, whole_songs(twice), found)
    assert found.songs.tolist() == [3]
    assert levels is not None
    assert levels[0] < 0.01


def test_fewer_than_twenty_songs_have_no_chance_level():
    tune = [60, 62, 64, 65, 67, 65, 64, 62]
    assert fit_chance_of_songs(blocks_of(*[tune] * 19, []).songs, seed=1) is None


def test_songs_that_are_all_alike_have_no_chance_level():
    assert fit_chance_of_songs(blocks_of(*[[60, 60, 60]] * 25).songs, seed=1) is None
