"""The chance levels of `near` and `shared`."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.nearest_songs import nearest_songs
from melodex.finder.shared_phrases import shared_phrases
from tests.songbook import SONGBOOK, TERMS


@pytest.fixture(scope="module")
def songbook(tmp_path_factory):
    with open_catalogue(tmp_path_factory.mktemp("songs") / "songs.db") as catalogue:
        add_songs(catalogue, [SONGBOOK / term for term in TERMS])
        yield catalogue


def test_a_song_farther_down_the_list_is_never_expected_less_often(songbook):
    near = nearest_songs(songbook, "three-coats-warm", limit=None)
    levels = [song.expected_by_chance for song in near if song.expected_by_chance is not None]
    assert len(levels) == len(near)
    assert levels == sorted(levels)
    assert nearest_songs(songbook, "three-coats-warm", limit=3) == near[:3]


def test_exchanging_two_songs_changes_no_level(songbook):
    pair = "apples-on-the-sill", "three-coats-warm"
    there, back = (shared_phrases(songbook, *order).phrases for order in (pair, pair[::-1]))
    assert there
    assert there[0].expected_by_chance is not None
    assert [phrase.expected_by_chance for phrase in back] == [
        phrase.expected_by_chance for phrase in there
    ]


def test_a_phrase_that_a_song_repeats_whole_is_not_likely_coincidence(songbook):
    repeated = shared_phrases(songbook, "apples-on-the-sill", "apples-on-the-sill").phrases[0]
    assert (repeated.score, repeated.notes) == (1, 11)
    assert repeated.expected_by_chance is not None
    assert repeated.expected_by_chance < 0.001
