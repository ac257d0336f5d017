"""Licks as plain numbers."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.lick_numbers import lick_from_notes

BEATS, ONES = [0, 1, 2], [1, 1, 1]
VERY_LARGE = 10**5000  # more digits than Python writes out


def test_a_lick_that_begins_in_a_pickup_is_weak_there_and_strong_on_the_bar_line():
    lick = lick_from_notes([62, 67, 71], BEATS, ONES, metre=Metre(4, 4), position=-1)
    assert lick.melody.beat_strengths.tolist() == [0.25, 1.0, 0.25]
    assert lick.melody.measures.tolist() == [0, 1, 1]


def test_of_a_lick_in_free_metre_no_beat_is_known():
    lick = lick_from_notes([62, 67, 71], BEATS, ONES, metre=FREE_METRE)
    assert lick.melody.beat_strengths.tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize(
    ("text", "metre"),
    [
        ("3/4", Metre(3, 4)),
        (" 6/8 ", Metre(6, 8)),
        ("(2+3+2)/8", Metre(7, 8, (2, 3, 2))),
        ("C|", Metre(2, 2)),
        ("none", FREE_METRE),
        (None, Metre(4, 4)),
    ],
)
def test_a_metre_may_be_text_and_is_4_4_where_none_is_given(text, metre):
    assert lick_from_notes([62, 67, 71], BEATS, ONES, metre=text).metre == metre


def test_a_metre_as_text_places_the_bar_lines():
    lick = lick_from_notes([62, 64, 67, 71], [0, 1, 2, 3], [1] * 4, metre="3/4", position=1)
    assert lick.melody.measures.tolist() == [1, 1, 2, 2]


@pytest.mark.parametrize("metre", ["", "fast", "3", "3/5", "0/4", "free 3/4", (3, 4), 3])
def test_a_metre_that_cannot_be_read_is_refused(metre):
    with pytest.raises(QueryError, match="is not a metre"):
        lick_from_notes([62, 67, 71], BEATS, ONES, metre=metre)


@pytest.mark.parametrize(
    "kind",
    [list, tuple, np.array, pd.Series, lambda values: np.array(values, np.int64)],
)
def test_lists_arrays_and_columns_of_a_table_are_the_same(kind):
    lick = lick_from_notes(kind([62, 67, 71]), kind(BEATS), kind(ONES))
    assert lick.melody.pitches.tolist() == [62, 67, 71]
    assert lick.melody.onsets.tolist() == BEATS


def test_whole_numbers_may_be_written_as_floats():
    assert lick_from_notes([62.0, 67.0], [0, 1], [1, 1]).melody.pitches.tolist() == [62, 67]


@pytest.mark.parametrize(
    "pitch",
    [62.5, float("nan"), float("inf"), 128, 200, -1, True, np.True_, "D4", None, VERY_LARGE, 1j],
    ids=lambda pitch: type(pitch).__name__,
)
def test_what_is_no_midi_note_number_is_refused_by_its_place(pitch):
    with pytest.raises(QueryError, match="Note 2 has the pitch") as caught:
        lick_from_notes([62, pitch, 71], BEATS, ONES)
    assert "0 to 127" in caught.value.next_step


def test_an_array_of_truth_values_is_no_melody():
    with pytest.raises(QueryError, match="Note 1 has the pitch True"):
        lick_from_notes(np.array([True, False]), [0, 1], [1, 1])


@pytest.mark.parametrize(
    "time",
    [float("nan"), float("inf"), 1e300, VERY_LARGE, "1", None, True],
    ids=lambda time: type(time).__name__,
)
def test_a_time_that_is_no_number_of_quarter_notes_is_refused(time):
    with pytest.raises(QueryError, match="Note 3 of the onsets is"):
        lick_from_notes([62, 67, 71], [0, 1, time], ONES)
    with pytest.raises(QueryError, match="Note 1 of the durations is"):
        lick_from_notes([62, 67, 71], BEATS, [time, 1, 1])
    with pytest.raises(QueryError, match="The position is"):
        lick_from_notes([62, 67, 71], BEATS, ONES, position=time)


@pytest.mark.parametrize(
    ("pitches", "onsets", "durations", "problem"),
    [
        ([62, 67], BEATS, ONES, "2 pitches, 3 onsets and 3 durations"),
        ([62, 67, 71], BEATS, [1], "3 pitches, 3 onsets and 1 durations"),
        ([62, 67, 71], [0, 2, 2], ONES, "Note 3 does not begin after"),
        ([62, 67, 71], [0, 2, 1], ONES, "Note 3 does not begin after"),
        ([62, 67, 71], BEATS, [1, 0, 1], "Note 2 is 0 quarter notes long"),
        ([62, 67, 71], BEATS, [1, 1, -2], "Note 3 is -2 quarter notes long"),
        ([62], [0], [1], "one note"),
        ([], [], [], "is empty"),
        (62, 0, 1, "pitches are not a list"),
        ([[62, 67]], BEATS, ONES, "pitches are not a list"),
        ([[62], [67, 71]], BEATS[:2], ONES[:2], "Note 1 has the pitch"),
        ((pitch for pitch in (62, 67)), [0, 1], [1, 1], "pitches are not a list"),
    ],
)
def test_numbers_that_make_no_lick_are_refused_with_a_next_step(
    pitches, onsets, durations, problem
):
    with pytest.raises(QueryError, match=problem) as caught:
        lick_from_notes(pitches, onsets, durations)
    assert caught.value.next_step


@given(shift=st.integers(-1000, 1000))
def test_only_the_differences_of_onsets_matter(shift):
    here = lick_from_notes([62, 67, 71], BEATS, ONES, metre="3/4", position=2)
    there = lick_from_notes(
        [62, 67, 71], [beat + shift for beat in BEATS], ONES, metre="3/4", position=2
    )
    assert here.melody.measures.tolist() == there.melody.measures.tolist()
    assert here.melody.beat_strengths.tolist() == there.melody.beat_strengths.tolist()
