"""The overall shape of phrases."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import MelodyError
from melodex.features.melodic_arch import phrase_arch, phrase_pitches
from tests.strategies import LONGEST_TRANSPOSITION, melodies, melody_of, pitch_lines

UPSIDE_DOWN = {
    "convex": "concave",
    "ascending": "descending",
    "horizontal": "horizontal",
    "horizontal-ascending": "horizontal-descending",
    "ascending-horizontal": "descending-horizontal",
}
UPSIDE_DOWN |= {shape: mirrored for mirrored, shape in UPSIDE_DOWN.items()}
BACKWARDS = {
    "convex": "convex",
    "concave": "concave",
    "horizontal": "horizontal",
    "ascending": "descending",
    "descending": "ascending",
    "horizontal-ascending": "descending-horizontal",
    "descending-horizontal": "horizontal-ascending",
    "horizontal-descending": "ascending-horizontal",
    "ascending-horizontal": "horizontal-descending",
}


@pytest.mark.parametrize(
    ("pitches", "shape"),
    [  # The nine signs of (mean of the middle - first, last - mean of the middle).
        ([60, 64, 67, 62], "convex"),
        ([67, 60, 62, 65], "concave"),
        ([60, 62, 64, 67], "ascending"),
        ([67, 64, 62, 60], "descending"),
        ([60, 60, 60], "horizontal"),
        ([60, 58, 62, 67], "horizontal-ascending"),
        ([60, 58, 62, 55], "horizontal-descending"),
        ([60, 62, 66, 64], "ascending-horizontal"),
        ([67, 62, 66, 64], "descending-horizontal"),
    ],
)
def test_a_phrase_is_named_by_where_its_middle_lies(pitches, shape):
    assert phrase_arch(melody_of(*pitches).pitches) == shape


def test_a_middle_that_only_rounding_could_set_apart_is_level():
    # Three middle notes, 61 + 61 + 64, have a mean of exactly 62.
    assert phrase_arch(melody_of(62, 61, 61, 64, 62).pitches) == "horizontal"


@given(pitches=pitch_lines(min_size=3))
def test_a_phrase_turned_upside_down_has_the_opposite_shape(pitches):
    mirrored = (127 - pitches).astype(np.int16)
    assert phrase_arch(mirrored) == UPSIDE_DOWN[phrase_arch(pitches)]


@given(pitches=pitch_lines(min_size=3))
def test_a_phrase_played_backwards_has_the_shape_seen_from_its_end(pitches):
    assert phrase_arch(pitches[::-1]) == BACKWARDS[phrase_arch(pitches)]


@given(
    pitches=pitch_lines(min_size=3),
    semitones=st.integers(-LONGEST_TRANSPOSITION, LONGEST_TRANSPOSITION),
)
def test_a_shape_does_not_change_under_transposition(pitches, semitones):
    assert phrase_arch(pitches + np.int16(semitones)) == phrase_arch(pitches)


def test_two_notes_have_no_shape_and_the_error_says_how_many_are_needed():
    with pytest.raises(MelodyError, match="phrase of 3 notes or more"):
        phrase_arch(melody_of(60, 62).pitches)


def test_a_melody_is_divided_after_each_marked_phrase_end():
    melody = melody_of(60, 62, 64, 65, 67, phrase_ends=[1, 4])
    assert [phrase.tolist() for phrase in phrase_pitches(melody)] == [[60, 62], [64, 65, 67]]


def test_notes_after_the_last_mark_make_a_phrase_of_their_own():
    melody = melody_of(60, 62, 64, phrase_ends=[1])
    assert [phrase.tolist() for phrase in phrase_pitches(melody)] == [[60, 62], [64]]


def test_no_notes_make_no_phrase():
    assert phrase_pitches(melody_of()) == []


@given(melody=melodies())
def test_a_melody_without_marks_is_one_phrase(melody):
    (phrase,) = phrase_pitches(melody)
    np.testing.assert_array_equal(phrase, melody.pitches)
