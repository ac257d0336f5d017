"""Pitches named above a tonic."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.scale_degrees import scale_degrees
from tests.strategies import LONGEST_TRANSPOSITION, melody_of, pitch_lines


@pytest.mark.parametrize(
    ("scale", "degrees"),
    [  # Common practice, no source.
        ([55, 57, 59, 60, 62, 64, 66, 67], "1 2 3 4 5 6 7 1"),  # G major
        ([55, 57, 58, 60, 62, 63, 65, 67], "1 2 b3 4 5 b6 b7 1"),  # G natural minor
        ([55, 57, 59, 60, 62, 64, 65, 67], "1 2 3 4 5 6 b7 1"),  # G mixolydian
        ([55, 56, 58, 61], "1 b2 b3 #4"),
    ],
)
def test_a_scale_on_g_has_its_usual_degrees(scale, degrees):
    assert scale_degrees(melody_of(*scale).pitches, tonic_pitch_class=7) == degrees.split()


@given(
    pitches=pitch_lines(),
    tonic=st.integers(0, 11),
    semitones=st.integers(-LONGEST_TRANSPOSITION, LONGEST_TRANSPOSITION),
)
def test_degrees_do_not_change_when_notes_and_tonic_move_together(pitches, tonic, semitones):
    moved = scale_degrees(pitches + np.int16(semitones), (tonic + semitones) % 12)
    assert moved == scale_degrees(pitches, tonic)
