"""Intervals between successive notes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.intervals import clipped_intervals, melodic_intervals
from tests.strategies import LONGEST_TRANSPOSITION, melodies, melody_of, pitch_lines, transposed

SEMITONES = st.integers(-LONGEST_TRANSPOSITION, LONGEST_TRANSPOSITION)


@given(melody=melodies(), semitones=SEMITONES)
def test_intervals_do_not_change_under_transposition(melody, semitones):
    moved = transposed(melody, semitones)
    np.testing.assert_array_equal(
        melodic_intervals(moved.pitches), melodic_intervals(melody.pitches)
    )


@given(pitches=pitch_lines(min_size=1))
def test_the_first_note_and_the_intervals_give_back_the_melody(pitches):
    rebuilt = np.concatenate([pitches[:1], pitches[0] + np.cumsum(melodic_intervals(pitches))])
    np.testing.assert_array_equal(rebuilt, pitches)


@given(pitches=pitch_lines())
def test_a_melody_played_backwards_has_its_intervals_backwards_and_turned_round(pitches):
    backwards = melodic_intervals(pitches[::-1])
    np.testing.assert_array_equal(backwards, -melodic_intervals(pitches)[::-1])


def test_the_widest_leap_of_midi_is_measured_without_overflow():
    assert melodic_intervals(melody_of(0, 127, 0).pitches).tolist() == [127, -127]


@pytest.mark.parametrize("melody", [melody_of(), melody_of(60)])
def test_fewer_than_two_notes_have_no_intervals(melody):
    assert melodic_intervals(melody.pitches).shape == (0,)


def test_a_leap_beyond_the_limit_counts_as_the_limit():
    pitches = melody_of(60, 85, 84, 59).pitches
    assert clipped_intervals(pitches).tolist() == [24, -1, -24]


def test_a_leap_of_exactly_the_limit_keeps_its_size():
    assert clipped_intervals(melody_of(60, 67, 60).pitches, limit=7).tolist() == [7, -7]


@given(pitches=pitch_lines())
def test_intervals_within_the_limit_are_left_alone(pitches):
    intervals, clipped = melodic_intervals(pitches), clipped_intervals(pitches)
    within = np.abs(intervals) <= 24
    np.testing.assert_array_equal(clipped[within], intervals[within])
