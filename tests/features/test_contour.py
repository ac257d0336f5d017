"""Melodic contour in three and in five classes."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.contour import five_class_contour, three_class_contour
from tests.strategies import LONGEST_TRANSPOSITION, melody_of, pitch_lines

EVERY_CONTOUR = [three_class_contour, five_class_contour]
SEMITONES = st.integers(-LONGEST_TRANSPOSITION, LONGEST_TRANSPOSITION)


@pytest.mark.parametrize("contour", EVERY_CONTOUR)
@given(pitches=pitch_lines(), semitones=SEMITONES)
def test_contour_does_not_change_under_transposition(contour, pitches, semitones):
    np.testing.assert_array_equal(contour(pitches + np.int16(semitones)), contour(pitches))


@pytest.mark.parametrize("contour", EVERY_CONTOUR)
@given(pitches=pitch_lines(), axis=st.integers(60, 67))
def test_a_melody_turned_upside_down_has_the_opposite_contour(contour, pitches, axis):
    mirrored = (2 * axis - pitches).astype(np.int16)
    np.testing.assert_array_equal(contour(mirrored), -contour(pitches))


@given(pitches=pitch_lines())
def test_five_classes_refine_three(pitches):
    np.testing.assert_array_equal(
        np.sign(five_class_contour(pitches)), three_class_contour(pitches)
    )


@pytest.mark.parametrize(
    ("interval", "motion"),
    [(-12, -2), (-3, -2), (-2, -1), (-1, -1), (0, 0), (1, 1), (2, 1), (3, 2), (12, 2)],
)
def test_a_second_is_a_step_and_a_third_is_a_leap(interval, motion):
    # Common practice, no source.
    assert five_class_contour(melody_of(60, 60 + interval).pitches).tolist() == [motion]


@pytest.mark.parametrize("contour", EVERY_CONTOUR)
def test_a_single_note_has_no_contour(contour):
    assert contour(melody_of(60).pitches).shape == (0,)
