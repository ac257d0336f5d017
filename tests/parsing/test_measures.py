import numpy as np
import pytest
from music21 import converter

from melodex.model.metre import FREE_METRE, Metre
from melodex.model.song import MetreChange
from melodex.parsing.measures import list_measures

JIG, COMMON = Metre(6, 8), Metre(4, 4)


def measures(bar_lines, end, metre=COMMON, seams=()):
    return list_measures(bar_lines, end, [MetreChange(0.0, metre)], seams)


def test_full_measures_are_counted_from_one():
    listed = measures([4.0, 8.0], 12.0)
    assert listed.numbers == [1, 2, 3]
    assert listed.positions == [0, 0, 0]


def test_a_short_first_measure_is_the_pickup_and_fills_the_end_of_its_measure():
    listed = measures([1.0, 5.0], 9.0)
    assert listed.numbers == [0, 1, 2]
    assert listed.positions == [3, 0, 0]


def test_a_measure_divided_by_a_repeat_keeps_one_number_and_goes_on_where_it_was():
    # Common practice, no source: ... | g3 :| d | ... in 4/4, one measure in two parts.
    listed = measures([4.0, 7.0, 8.0], 12.0, seams=[7.0])
    assert listed.numbers == [1, 2, 2, 3]
    assert listed.positions == [0, 0, 3, 0]


def test_two_parts_that_fill_less_than_a_measure_share_it_and_the_second_leads_on():
    listed = measures([4.0, 6.0, 7.0], 11.0, seams=[6.0])
    assert listed.numbers == [1, 2, 2, 3]
    assert listed.positions == [0, 0, 3, 0]


def test_two_short_measures_that_are_too_long_for_one_keep_their_numbers():
    listed = measures([4.0, 7.0, 9.0], 13.0, seams=[7.0])
    assert listed.numbers == [1, 2, 3, 4]
    assert listed.positions == [0, 0, 2, 0]


def test_short_measures_around_a_plain_bar_line_are_two_measures():
    listed = measures([4.0, 6.0, 8.0], 12.0)
    assert listed.numbers == [1, 2, 3, 4]


def test_a_first_measure_divided_by_a_repeat_is_no_pickup():
    listed = measures([3.0, 4.0], 8.0, seams=[3.0])
    assert listed.numbers == [1, 1, 2]
    assert listed.positions == [0, 3, 0]


def test_a_short_last_measure_is_counted_from_its_beginning():
    listed = measures([1.0, 5.0], 8.0)
    assert listed.positions == [3, 0, 0]
    assert listed.numbers == [0, 1, 2]


def test_a_single_short_measure_is_measure_one():
    assert measures([], 1.0).numbers == [1]


def test_without_a_metre_every_bar_line_begins_a_measure_and_nothing_is_a_pickup():
    listed = measures([1.0, 8.0], 9.0, metre=FREE_METRE)
    assert listed.numbers == [1, 2, 3]


def test_doubled_bar_lines_and_those_at_the_edges_make_no_empty_measures():
    assert measures([0.0, 4.0, 4.0, 8.0], 8.0).onsets == [0, 4]


def test_a_measure_has_the_metre_that_it_begins_in():
    changes = [MetreChange(0.0, COMMON), MetreChange(4.0, JIG)]
    listed = list_measures([4.0, 7.0], 10.0, changes)
    assert listed.metres == [COMMON, JIG, JIG]
    assert listed.numbers == [1, 2, 3]


@pytest.mark.parametrize("metre", ["6/8", "4/4", "3/4", "9/8", "2/2"])
def test_strengths_of_a_tune_with_a_pickup_are_those_of_music21(metre):
    tune = f"X:1\nM:{metre}\nL:1/8\nK:C\nG|" + "cdefgagfedcB"[: 2 * 9] + "|"
    numerator, denominator = map(int, metre.split("/"))
    eighths = 8 * numerator // denominator
    body = ("cdefgagfedcBcdef" * 2)[:eighths]
    tune = f"X:1\nM:{metre}\nL:1/8\nK:C\nG|{body}|{body}|"
    notes = list(converter.parse(tune, format="abc").recurse().notes)
    expected = [note.beatStrength for note in notes]
    length = eighths / 2
    listed = measures([0.5, 0.5 + length], 0.5 + 2 * length, Metre(numerator, denominator))
    onsets = np.arange(len(notes)) / 2
    assert listed.strengths(onsets, listed.measure_of(onsets)).tolist() == expected


def test_strengths_follow_a_change_of_metre_and_of_no_metre():
    changes = [MetreChange(0.0, Metre(3, 4)), MetreChange(3.0, FREE_METRE)]
    listed = list_measures([3.0, 5.0], 7.0, changes)
    onsets = np.arange(7.0)
    strengths = listed.strengths(onsets, listed.measure_of(onsets))
    assert strengths.tolist() == [1, 0.5, 0.5, 1, 0, 1, 0]
