"""Laws of the likeness of whole songs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.alignment.forms import FORMS
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import whole_songs
from melodex.index.song_arrays import join_performances, perform
from tests.strategies import in_tempo, melodies, melody_of, transposed

books = st.lists(melodies(max_notes=20), min_size=1, max_size=6)
PRIOR_OF_DOUBLED = next(form.prior for form in FORMS if form.name == "doubled")


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


def in_a_roll(melody):
    """Put an even line on strings, as rolls are."""
    strings = np.resize(np.array([3, 2, 1, 5, 2, 1, 5, 1], np.int8), len(melody))
    strengths = np.resize([1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125], len(melody))
    return replace(melody, strings=strings, beat_strengths=strengths)


@given(melody=melodies(), up=st.integers(-24, 24))
def test_a_song_scores_1_with_itself_in_any_key(melody, up):
    found = ranked(melody, transposed(melody, up))
    assert found.scores.tolist() == [1, 1]
    assert sorted(found.transpositions) == sorted([0, up])


@given(melody=melodies(min_notes=4))
def test_a_song_in_doubled_note_values_loses_the_prior_of_that_form_alone(melody):
    of_itself = len(melody) * learned_tables().of_same_note
    expected = pytest.approx(1 + PRIOR_OF_DOUBLED / of_itself, abs=1e-6)
    assert likeness(melody, in_tempo(melody, 2)) == expected
    assert likeness(in_tempo(melody, 2), melody) == expected


@given(
    one=melodies(max_notes=20),
    other=melodies(max_notes=20),
    rolls=st.tuples(st.booleans(), st.booleans()),
)
def test_likeness_is_the_same_from_either_side_and_never_above_1(one, other, rolls):
    one, other = (
        in_a_roll(melody) if rolled else melody
        for melody, rolled in zip((one, other), rolls, strict=True)
    )
    assert likeness(one, other) == likeness(other, one)
    assert likeness(one, other) <= 1


@given(one=melodies(max_notes=20), other=melodies(max_notes=20), up=st.integers(-12, 12))
def test_transposing_either_song_changes_no_likeness(one, other, up):
    expected = likeness(one, other)
    assert likeness(transposed(one, up), other) == expected
    assert likeness(one, transposed(other, up)) == expected


@given(book=books, limit=st.integers(1, 6))
def test_the_first_few_are_the_first_of_all(book, limit):
    every, first = ranked(*book), ranked(*book, limit=limit)
    assert first.songs.tolist() == every.songs[:limit].tolist()
    np.testing.assert_array_equal(first.scores, every.scores[:limit])
    np.testing.assert_array_equal(first.transpositions, every.transpositions[:limit])


@given(book=books, above=st.floats(-0.5, 1))
def test_songs_above_a_score_are_those_of_all_that_have_more(book, above):
    songs, selected = written(*book), np.arange(len(book))
    found = most_alike(0, songs, selected, limit=None, above=above)
    complete = most_alike(0, songs, selected, limit=None)
    more = complete.scores > np.float32(above)
    assert found.songs.tolist() == complete.songs[more].tolist()
    assert found.scores.tolist() == complete.scores[more].tolist()
    assert found.transpositions.tolist() == complete.transpositions[more].tolist()


def test_songs_equally_alike_come_in_the_order_of_their_ids():
    tune, far = melody_of(60, 62, 64), melody_of(60, 73, 41)
    assert ranked(tune, far, *[tune] * 300, limit=300).songs.tolist() == [0, *range(2, 301)]


def test_another_note_costs_what_the_two_pitches_score_less_than_the_same():
    tables = learned_tables()
    tune = melody_of(60, 67, 62, 69, 64, 71, 65, 72)
    variant = melody_of(60, 67, 62, 70, 64, 71, 65, 72)
    loss = tables.pitch[0] - tables.pitch[1]
    assert likeness(tune, variant) == pytest.approx(1 - loss / (8 * tables.of_same_note), abs=1e-5)


def test_a_song_with_an_ending_of_its_own_scores_the_mean_of_whole_and_common_stretch():
    tables, unit = learned_tables(), 32
    tune, more = melody_of(60, 67, 62, 69), melody_of(60, 67, 62, 69, 40, 41)
    gap = np.rint(unit * tables.gap_open[-1]) + np.rint(unit * tables.gap_extend)
    assert likeness(tune, more) == pytest.approx(
        1 + gap / unit / 2 / (4 * tables.of_same_note), abs=1e-6
    )


def test_what_a_repeat_plays_again_is_taken_once():
    tune = melody_of(60, 62, 64, 65)
    songs = written(tune, tune, sections=[[(0.0, 2.0), (0.0, 4.0), (1.0, 3.0)], [(0.0, 4.0)]])
    np.testing.assert_array_equal(songs.line_of(0).pitches, tune.pitches)
    np.testing.assert_array_equal(songs.line_of(1).pitches, tune.pitches)


def test_no_songs_selected_are_none_found():
    songs = written(melody_of(60, 62))
    assert len(most_alike(0, songs, np.empty(0, np.int64), limit=5).songs) == 0


def test_songs_without_notes_come_last():
    songs = written(melody_of(60, 62), replace(melody_of(60)), melody_of(70, 41))
    songs = replace(songs, first_notes=np.array([0, 2, 2, len(songs.pitches)]))
    assert most_alike(0, songs, np.arange(3), limit=None).songs.tolist() == [0, 2, 1]


@settings(max_examples=5)
@given(seed=st.integers(0, 100))
def test_songs_of_thousands_of_notes_score_as_exactly_as_short_ones(seed):
    # Sixteen bits would overflow: a song with itself scores some 86 units a note, and leaving out
    # both of two songs costs some 36 a note.
    rng = np.random.default_rng(seed)
    long, other = (melody_of(*rng.integers(50, 54, 1500).tolist()) for _ in range(2))
    short = melody_of(*rng.integers(50, 54, 40).tolist())
    found = ranked(long, transposed(long, 3), other, short)
    assert found.scores[:2].tolist() == [1, 1]
    assert (np.abs(found.scores) < 30).all()
    assert likeness(short, long) == float(found.scores[found.songs == 3][0])


def test_a_tune_is_like_its_arrangement_in_rolls():
    rolled = in_a_roll(
        melody_of(
            55, 59, 62, 67, 59, 62, 67, 62, 57, 59, 62, 67, 55, 59, 62, 67, durations=[0.5] * 16
        )
    )
    plain = melody_of(
        55, 62, 59, 57, 62, 55,
        durations=[1, 1, 2, 1, 1, 2],
        beat_strengths=[1, 0.25, 0.5, 1, 0.25, 0.5],
    )  # fmt: skip
    assert likeness(plain, rolled) > 0.5
    assert likeness(plain, rolled) == likeness(rolled, plain)
    assert likeness(plain, replace(rolled, beat_strengths=np.ones(16))) < 0.5


@given(tune=melodies(min_notes=2, max_notes=20), up=st.integers(-12, 12))
def test_a_song_in_free_metre_is_wholly_like_itself_in_another_key(tune, up):
    free = replace(tune, beat_strengths=np.zeros(len(tune)))
    assert likeness(free, transposed(free, up)) == 1


def test_a_song_in_doubled_values_is_found_behind_one_that_is_nearly_as_alike():
    # By arithmetic: the prior costs 2 nats, a wrong note more than 2 and less than twice as much.
    tune = melody_of(60, 67, 62, 69, 64, 71, 65, 72)
    altered = melody_of(60, 67, 62, 70, 64, 71, 65, 72)
    assert ranked(tune, altered, in_tempo(tune, 2), tune, limit=3).songs.tolist() == [0, 3, 2]
