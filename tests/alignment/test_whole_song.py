"""Laws of the likeness of whole songs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.settings import DEFAULT_SETTINGS
from melodex.alignment.whole_song import most_alike, whole_songs
from melodex.index.song_arrays import join_performances, perform
from tests.strategies import in_tempo, melodies, melody_of, transposed

books = st.lists(melodies(max_notes=20), min_size=1, max_size=6)


def written(*melodies, sections=None):
    once = [np.array([(0.0, melody.onsets[-1] + 100.0)]) for melody in melodies]
    played = once if sections is None else [np.array(each) for each in sections]
    return whole_songs(
        join_performances(
            [perform(melody, times) for melody, times in zip(melodies, played, strict=True)]
        )
    )


def ranked(*melodies, limit=None):
    """Compare the first with all."""
    songs = written(*melodies)
    return most_alike(0, songs, np.arange(len(melodies)), limit=limit)


def likeness(one, other):
    found = ranked(one, other)
    return float(found.scores[found.songs == 1][0])


@given(melody=melodies(), up=st.integers(-24, 24))
def test_a_song_scores_1_with_itself_in_any_key(melody, up):
    found = ranked(melody, transposed(melody, up))
    np.testing.assert_allclose(found.scores, [1, 1], atol=1e-5)
    assert sorted(found.transpositions) == sorted([0, up])


@given(one=melodies(max_notes=20), other=melodies(max_notes=20))
def test_likeness_is_the_same_from_either_side_and_never_above_1(one, other):
    assert likeness(one, other) == pytest.approx(likeness(other, one), abs=1e-4)
    assert likeness(one, other) <= 1 + 1e-5


@given(one=melodies(max_notes=20), other=melodies(max_notes=20), up=st.integers(-12, 12))
def test_transposing_either_song_changes_no_likeness(one, other, up):
    expected = pytest.approx(likeness(one, other), abs=1e-4)
    assert likeness(transposed(one, up), other) == expected
    assert likeness(one, transposed(other, up)) == expected


@given(one=melodies(max_notes=20), other=melodies(max_notes=20))
def test_playing_faster_changes_no_likeness(one, other):
    assert likeness(in_tempo(one, 0.5), other) == likeness(one, other)


@given(book=books, limit=st.integers(1, 6))
def test_the_first_few_are_the_first_of_all(book, limit):
    every, first = ranked(*book), ranked(*book, limit=limit)
    assert first.songs.tolist() == every.songs[:limit].tolist()
    np.testing.assert_array_equal(first.scores, every.scores[:limit])
    np.testing.assert_array_equal(first.transpositions, every.transpositions[:limit])


@given(book=books, above=st.floats(-0.5, 1))
def test_songs_above_a_score_are_those_of_all_that_have_more(book, above):
    songs, asked = written(*book), np.arange(len(book))
    found = most_alike(0, songs, asked, limit=None, above=above)
    complete = most_alike(0, songs, asked, limit=None)
    more = complete.scores > np.float32(above)
    assert found.songs.tolist() == complete.songs[more].tolist()
    assert found.scores.tolist() == complete.scores[more].tolist()
    assert found.transpositions.tolist() == complete.transpositions[more].tolist()


def test_songs_equally_alike_come_in_the_order_of_their_ids():
    tune, far = melody_of(60, 62, 64), melody_of(60, 73, 41)
    assert ranked(tune, far, *[tune] * 300, limit=300).songs.tolist() == [0, *range(2, 301)]


def test_a_wrong_note_on_the_beat_costs_two_shares():
    # One of four pairs is worth -1 instead of 1.
    tune, variant = melody_of(60, 62, 64, 65), melody_of(60, 62, 70, 65)
    assert likeness(tune, variant) == pytest.approx((3 - 1) / 4)


def test_two_added_notes_cost_one_gap():
    tune, longer = melody_of(60, 62, 64, 65), melody_of(60, 62, 70, 75, 64, 65)
    assert likeness(tune, longer) == pytest.approx((4 - 0.8 - 0.2) / 4)


def test_a_song_of_one_note_is_like_the_note_that_stands_alone():
    assert likeness(melody_of(60), melody_of(67)) == pytest.approx(1)
    assert likeness(melody_of(60), melody_of(60, 62)) == pytest.approx(1 - 0.8)


def test_what_a_repeat_plays_again_is_taken_once():
    tune = melody_of(60, 62, 64, 65)
    songs = written(tune, tune, sections=[[(0.0, 2.0), (0.0, 4.0), (1.0, 3.0)], [(0.0, 4.0)]])
    np.testing.assert_array_equal(songs.written.line_of(0).pitches, tune.pitches)
    np.testing.assert_array_equal(songs.written.line_of(1).pitches, tune.pitches)


def test_nothing_asked_is_nothing_found():
    songs = written(melody_of(60, 62))
    assert len(most_alike(0, songs, np.empty(0, np.int64), limit=5).songs) == 0


def test_a_tune_is_like_its_arrangement_in_rolls():
    strengths = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 2
    rolled = melody_of(
        55, 59, 62, 67, 59, 62, 67, 62, 57, 59, 62, 67, 55, 59, 62, 67,
        durations=[0.5] * 16,
        beat_strengths=strengths,
    )  # fmt: skip
    rolled = replace(rolled, strings=np.array([3, 2, 1, 5, 2, 1, 5, 1] * 2, np.int8))
    plain = melody_of(
        55, 62, 59, 57, 62, 55,
        durations=[1, 1, 2, 1, 1, 2],
        beat_strengths=[1, 0.25, 0.5, 1, 0.25, 0.5],
    )  # fmt: skip
    price = DEFAULT_SETTINGS.rolled_skeleton_price
    # All six notes stand in the roll, and two fill its other beats or none: at most one gap.
    assert likeness(plain, rolled) >= (1 - price) * (6 - 2 * 0.8) / 6
    assert likeness(plain, rolled) == pytest.approx(likeness(rolled, plain))
    assert likeness(plain, replace(rolled, beat_strengths=np.ones(16))) < 0.5
