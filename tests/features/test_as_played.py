"""Notes in the order played."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.as_played import played_notes, played_onsets
from tests.strategies import melodies

FOUR_MEASURES = np.arange(16.0)  # a quarter note on every beat of four 4/4 measures


def played(*sections):
    return played_notes(FOUR_MEASURES, np.array(sections)).tolist()


def test_a_tune_without_repeats_is_played_as_written():
    assert played((0.0, 16.0)) == list(range(16))


def test_a_repeated_half_is_played_twice_before_the_other():
    assert played((0, 8), (0, 8), (8, 16)) == [*range(8), *range(8), *range(8, 16)]


def test_a_first_ending_is_skipped_the_second_time():
    # |: A | B |1 C :|2 D |
    assert played((0, 12), (0, 8), (12, 16)) == [*range(12), *range(8), *range(12, 16)]


def test_a_second_ending_is_heard_right_after_the_repeated_part():
    onsets = played_onsets(FOUR_MEASURES, np.array([(0.0, 12.0), (0.0, 8.0), (12.0, 16.0)]))
    np.testing.assert_array_equal(onsets, np.arange(24.0))


def test_a_note_on_a_seam_belongs_to_the_section_that_begins_there():
    assert played((0, 2), (2, 4)) == [0, 1, 2, 3]


@pytest.mark.parametrize("error", [-1e-9, 1e-9])
def test_rounded_thirds_do_not_move_a_note_across_a_seam(error):
    onsets = np.array([0.0, 1 / 3, 2 / 3, 1.0 + error, 4 / 3])
    sections = np.array([(0.0, 1.0), (1.0, 2.0)])
    assert played_notes(onsets, sections).tolist() == [0, 1, 2, 3, 4]


def test_a_rest_before_a_seam_is_counted():
    onsets = played_onsets(np.array([0.0, 1.0]), np.array([(0.0, 4.0), (0.0, 4.0)]))
    assert onsets.tolist() == [0.0, 1.0, 4.0, 5.0]


def test_a_note_held_over_the_seam_does_not_delay_the_next_section():
    # The note at 3 may be four quarters long as written; the repeat begins at 4 all the same.
    onsets = played_onsets(np.array([0.0, 3.0]), np.array([(0.0, 4.0), (0.0, 4.0)]))
    assert onsets.tolist() == [0.0, 3.0, 4.0, 7.0]


def test_no_section_means_no_note():
    assert played_notes(FOUR_MEASURES, np.empty((0, 2))).tolist() == []
    assert played_onsets(FOUR_MEASURES, np.empty((0, 2))).tolist() == []


def test_a_tune_without_notes_plays_none():
    assert played_notes(np.empty(0), np.array([(0.0, 8.0)])).tolist() == []


@given(melody=melodies(), times=st.integers(1, 4))
def test_playing_a_tune_several_times_repeats_its_notes(melody, times):
    length = melody.onsets[-1] + melody.durations[-1]
    notes = played_notes(melody.onsets, np.array([(0.0, length)] * times))
    np.testing.assert_array_equal(notes, np.tile(np.arange(len(melody)), times))


@given(melody=melodies(), bounds=st.lists(st.floats(0, 60), min_size=2, max_size=12))
def test_the_order_agrees_with_asking_every_note_in_turn(melody, bounds):
    sections = [tuple(sorted(pair)) for pair in zip(bounds[::2], bounds[1::2], strict=False)]
    asked = [
        note
        for start, end in sections
        for note, onset in enumerate(melody.onsets)
        if start - 1e-6 <= onset < end - 1e-6
    ]
    assert played_notes(melody.onsets, np.array(sections)).tolist() == asked


@given(melody=melodies(min_notes=2), bounds=st.lists(st.floats(0, 60), min_size=2, max_size=12))
def test_what_is_played_is_heard_in_rising_order(melody, bounds):
    sections = np.array([sorted(pair) for pair in zip(bounds[::2], bounds[1::2], strict=False)])
    assert (np.diff(played_onsets(melody.onsets, sections)) > -1e-5).all()
