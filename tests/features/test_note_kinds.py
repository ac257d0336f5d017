"""Kinds of notes keep everything that players can distinguish."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.note_kinds import STEPS_PER_DOUBLING, note_kinds, stepped_log_durations
from melodex.features.scale_classes import SCALE_CLASSES, unknown_scale

HALF_A_STEP = 0.5 / STEPS_PER_DOUBLING + 1e-6
notes = st.lists(
    st.tuples(
        st.sampled_from([1.0, 0.5, 0.25, 0.125, 0.0625]),
        st.floats(1 / 64, 64),
        st.booleans(),
        st.sampled_from(range(SCALE_CLASSES)),
    ),
    min_size=1,
    max_size=30,
)


def columns(line):
    return tuple(map(np.array, zip(*line, strict=True)))


@given(line=notes)
def test_a_kind_is_exact_in_strength_melody_and_scale_and_to_half_a_step_in_duration(line):
    strengths, durations, carries, scale = columns(line)
    found = note_kinds(strengths, durations, carries, scale)
    np.testing.assert_array_equal(found.strengths[found.kinds], strengths)
    np.testing.assert_array_equal(found.carries_melody[found.kinds], carries)
    np.testing.assert_array_equal(found.scale[found.kinds], scale)
    apart = found.log_durations[found.kinds] - np.log2(durations)
    assert np.abs(apart).max() <= HALF_A_STEP


@given(line=notes.filter(lambda line: len(line) > 1))
def test_two_notes_as_one_have_the_first_ones_strength_and_scale_and_last_as_long_as_both(line):
    strengths, durations, carries, scale = columns(line)
    found = note_kinds(strengths, durations, carries, scale)
    joined = found.joined_kinds[1:]
    np.testing.assert_array_equal(found.strengths[joined], strengths[:-1])
    np.testing.assert_array_equal(found.scale[joined], scale[:-1])
    apart = found.log_durations[joined] - np.log2(durations[1:] + durations[:-1])
    assert np.abs(apart).max() <= HALF_A_STEP


@given(line=notes)
def test_a_lick_of_a_song_has_the_durations_that_its_kinds_tell(line):
    found = note_kinds(*columns(line))
    own = stepped_log_durations(columns(line)[1])
    np.testing.assert_array_equal(found.log_durations[found.kinds], own)


def test_notes_of_one_strength_and_duration_are_one_kind():
    found = note_kinds(np.ones(9), np.full(9, 0.5), np.zeros(9, np.bool_), unknown_scale(9))
    assert len(set(found.kinds.tolist())) == 1
    assert len(found.strengths) == 2  # and two of them as one


def test_notes_of_any_length_keep_their_strength():
    durations = np.array([2.0**-300, 1, 2.0**300])
    found = note_kinds(np.array([1, 0.5, 0.25]), durations, np.zeros(3, np.bool_), unknown_scale(3))
    assert found.strengths[found.kinds].tolist() == [1, 0.5, 0.25]
