from itertools import accumulate

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import meter

from melodex.model.metre import DENOMINATORS, LARGEST_NUMERATOR, Metre
from melodex.parsing.beat_strength import beat_strengths, free_metre_strengths

# fmt: off
USUAL_METRES = [
    (2, 4), (3, 4), (4, 4), (2, 2), (3, 2), (4, 2), (4, 1), (1, 4), (1, 2),
    (2, 8), (3, 8), (4, 8), (6, 8), (8, 8), (9, 8), (10, 8), (11, 8), (12, 8),
    (15, 8), (18, 8), (6, 4), (9, 4), (12, 4), (5, 4), (5, 8), (7, 4), (7, 8),
    (5, 2), (6, 2), (3, 16), (6, 16), (9, 16), (12, 16), (3, 1), (21, 8),
]
# fmt: on
GROUPED_METRES = ("3+2/8", "2+3/4", "2+3+2/8", "3+2+2/8", "3+3+2/8", "2+2+3+2/8", "3+2/16")


def music21_strengths(text, positions):
    signature = meter.TimeSignature(text)
    return [signature.getAccentWeight(place, forcePositionMatch=True) for place in positions]


def positions_within(length):
    return np.arange(0, length, 1 / 8)


@pytest.mark.parametrize(("numerator", "denominator"), USUAL_METRES)
def test_beat_strengths_are_those_of_music21_in_the_usual_metres(numerator, denominator):
    positions = positions_within(4 * numerator / denominator)
    ours = beat_strengths(positions, Metre(numerator, denominator))
    assert ours.tolist() == music21_strengths(f"{numerator}/{denominator}", positions.tolist())


@pytest.mark.parametrize("text", GROUPED_METRES)
def test_a_metre_written_in_groups_is_strong_where_each_group_begins(text):
    above, below = text.split("/")
    groups = tuple(map(int, above.split("+")))
    positions = positions_within(4 * sum(groups) / int(below))
    ours = beat_strengths(positions, Metre(sum(groups), int(below), groups))
    assert ours.tolist() == music21_strengths(text, positions.tolist())


@pytest.mark.parametrize("text", ["5+3/8", "5+2/8", "3+2/4", "3+3/4", "5+5/8"])
def test_the_groups_that_music21_divides_into_units_weigh_as_they_do_there(text):
    above, below = text.split("/")
    groups = tuple(map(int, above.split("+")))
    positions = positions_within(4 * sum(groups) / int(below))
    ours = beat_strengths(positions, Metre(sum(groups), int(below), groups))
    assert ours.tolist() == music21_strengths(text, positions.tolist())


def test_a_group_of_six_has_two_beats_of_three_units():
    # Common practice, no source: as in 6/8.
    strengths = beat_strengths(np.arange(10) / 2, Metre(10, 8, (6, 4))).tolist()
    assert strengths == [1.0, 0.125, 0.125, 0.25, 0.125, 0.125, 0.5, 0.25, 0.25, 0.25]


GROUPS = st.lists(st.integers(1, 40), min_size=1, max_size=30).filter(
    lambda groups: sum(groups) <= LARGEST_NUMERATOR
)


@given(groups=GROUPS, denominator=st.sampled_from(DENOMINATORS))
def test_in_any_additive_metre_a_group_starts_stronger_than_what_is_inside_groups(
    groups, denominator
):
    metre = Metre(sum(groups), denominator, tuple(groups))
    quarter_of_a_unit = np.arange(4 * metre.numerator)
    strengths = beat_strengths(quarter_of_a_unit / denominator, metre)
    starts = 4 * np.array(list(accumulate(groups, initial=0))[:-1])
    inside = np.setdiff1d(quarter_of_a_unit, starts)
    assert strengths[0] == 1.0
    assert set(strengths[starts[1:]]) <= {0.5}
    assert set(strengths[inside]) <= {0.25, 0.125, 0.0625}


@given(numerator=st.integers(1, LARGEST_NUMERATOR), denominator=st.sampled_from(DENOMINATORS))
def test_in_any_plain_metre_only_the_downbeat_weighs_1(numerator, denominator):
    positions = np.arange(4 * numerator) / denominator
    strengths = beat_strengths(positions, Metre(numerator, denominator))
    assert np.flatnonzero(strengths == 1.0).tolist() == [0]
    assert set(strengths) <= {1.0, 0.5, 0.25, 0.125, 0.0625}


def test_the_units_inside_a_group_of_four_weigh_alike():
    # Common practice, no source.
    places = np.arange(7) / 2
    strengths = beat_strengths(places, Metre(7, 8, (4, 3))).tolist()
    assert strengths == [1.0, 0.25, 0.25, 0.25, 0.5, 0.25, 0.25]


def test_common_time_by_eighths_has_the_published_strengths():
    # Source: music21's documentation of accent weights, 4/4.
    expected = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
    assert beat_strengths(np.arange(8) / 2, Metre(4, 4)).tolist() == expected


def test_a_triplet_off_every_division_has_half_the_least_weight():
    places = np.array([0.0, 1 / 3, 2 / 3, 1.0])
    assert beat_strengths(places, Metre(4, 4)).tolist() == [1.0, 0.0625, 0.0625, 0.25]


def test_an_overlong_measure_starts_its_pattern_again():
    assert beat_strengths(np.array([3.0, 4.0, 7.0]), Metre(3, 4)).tolist() == [1.0, 0.5, 0.5]


def test_without_a_metre_only_the_first_note_after_each_bar_line_has_a_known_strength():
    # Common practice, no source.
    strengths = free_metre_strengths(np.array([0, 0, 1, 1, 3]))
    assert strengths.tolist() == [0.0, 0.0, 1.0, 0.0, 1.0]
