"""Boundaries within a melody."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.boundaries import boundary_strengths, degree_of_change
from tests.strategies import melodies, melody_of


def test_the_degree_of_change_is_the_difference_of_two_values_over_their_sum():
    # Source: Cambouropoulos, ICMC 2001, the change rule: |x1 - x2| / (x1 + x2), 0 for two zeros.
    changes = degree_of_change(np.array([1.0, 3.0, 3.0, 0.0, 0.0]))
    np.testing.assert_allclose(changes, [0.5, 0, 1, 0])


def test_a_long_note_divides_a_line_of_even_notes_behind_it():
    # By hand, from the paper's formulas: the step of 2 changes by 1/3 to either side, so its
    # strength is 2 * (1/3 + 1/3), that of its neighbours 1/3; onsets weigh a half.
    line = melody_of(*[60] * 7, onsets=[0, 1, 2, 3, 5, 6, 7])
    strengths = boundary_strengths(line.pitches, line.onsets, line.durations)
    np.testing.assert_allclose(strengths, [1, 0, 0, 0.125, 0.5, 0.125, 0])


def test_the_first_note_begins_a_group():
    assert boundary_strengths(np.array([60], np.int16), np.zeros(1), np.ones(1)).tolist() == [1.0]


@given(
    melody=melodies(min_notes=2),
    semitones=st.integers(-12, 12),
    tempo=st.sampled_from([0.5, 2.0, 4.0]),
)
def test_boundaries_do_not_change_with_key_or_tempo(melody, semitones, tempo):
    moved = boundary_strengths(
        melody.pitches + np.int16(semitones), melody.onsets * tempo, melody.durations * tempo
    )
    here = boundary_strengths(melody.pitches, melody.onsets, melody.durations)
    np.testing.assert_allclose(moved, here, atol=1e-9)
    assert ((here >= 0) & (here <= 1 + 1e-9)).all()
