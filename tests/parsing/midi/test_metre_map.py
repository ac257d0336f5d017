"""Measures from time signatures."""

from fractions import Fraction
from pathlib import Path

import pytest

from melodex.errors import ScoreParseError
from melodex.model.metre import Metre
from melodex.parsing.midi.metre_map import MOST_MEASURES, NO_METRE, metre_map

SHOWN = Path("gate.mid")


def laid_out(stated, end):
    metres = metre_map({Fraction(onset): metre for onset, metre in stated.items()}, end, SHOWN)
    return (
        [(change.onset, str(change.metre)) for change in metres.metres],
        [measure.onset for measure in metres.measures],
    )


def test_measures_follow_the_metre_and_its_changes():
    metres, measures = laid_out({0: (3, 4), 6: (6, 8)}, Fraction(11))
    assert metres == [(0, "3/4"), (6, "6/8")]
    assert measures == [0, 3, 6, 9]


def test_without_a_metre_measures_are_counted_by_four_and_a_remark_says_so():
    metres = metre_map({}, Fraction(9), SHOWN)
    assert (metres.metres, [measure.onset for measure in metres.measures]) == ([], [0, 4, 8])
    assert metres.remarks == [NO_METRE]


def test_a_short_metre_for_the_first_measure_alone_is_a_pickup():
    # Common practice, no source: notation programs write a pickup to MIDI like this.
    metres, measures = laid_out({0: (1, 4), 1: (4, 4)}, Fraction(9))
    assert metres == [(0, "4/4")]
    assert measures == [0, 1, 5]


def test_a_metre_stated_again_begins_a_measure_so_that_a_pickup_may_come_before_it():
    metres, measures = laid_out({0: (4, 4), 1: (4, 4)}, Fraction(9))
    assert metres == [(0, "4/4")]
    assert measures == [0, 1, 5]


def test_music_before_the_first_metre_is_in_four():
    # Source: Standard MIDI Files specification 1.0 (from memory): 4/4 until a metre is stated.
    metres, measures = laid_out({4: (3, 4)}, Fraction(10))
    assert metres == [(0, "4/4"), (4, "3/4")]
    assert measures == [0, 4, 7]


def test_a_metre_after_the_end_of_the_music_does_not_matter():
    assert laid_out({0: (2, 4), 400: (1, 64)}, Fraction(4)) == ([(0, "2/4")], [0, 2])


@pytest.mark.parametrize("metre", [(0, 4), (255, 1), (1, 32768), (4, 2**255)])
def test_a_metre_that_makes_no_sense_is_refused(metre):
    with pytest.raises(ScoreParseError, match="is not valid"):
        metre_map({Fraction(0): metre}, Fraction(4), SHOWN)


def test_measures_without_end_are_refused():
    with pytest.raises(ScoreParseError, match=f"more than {MOST_MEASURES:,} measures"):
        metre_map({Fraction(0): (1, 64)}, Fraction(1000), SHOWN)


def test_the_metre_is_a_record_of_the_model():
    (change,) = metre_map({Fraction(0): (6, 8)}, Fraction(3), SHOWN).metres
    assert change.metre == Metre(6, 8)
