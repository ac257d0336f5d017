"""Time signatures."""

from fractions import Fraction

import pytest
from hypothesis import given

from melodex.errors import MetreError
from melodex.model.metre import FREE_METRE, Metre
from tests.strategies import metres


@pytest.mark.parametrize(
    ("metre", "quarter_notes"),
    [  # Common practice, no source.
        (Metre(4, 4), 4),
        (Metre(2, 2), 4),
        (Metre(6, 8), 3),
        (Metre(7, 8), Fraction(7, 2)),
    ],
)
def test_a_measure_is_as_long_as_its_beats_together(metre, quarter_notes):
    assert metre.measure_length == quarter_notes


@given(metre=metres())
def test_twice_the_beats_of_half_the_length_fill_the_same_measure(metre):
    doubled = Metre(2 * metre.numerator, 2 * metre.denominator)
    assert doubled.measure_length == metre.measure_length


def test_music_without_a_metre_is_free_and_says_none():
    assert FREE_METRE.is_free
    assert str(FREE_METRE) == "none"


def test_a_metre_is_written_as_a_fraction():
    assert not Metre(6, 8).is_free
    assert str(Metre(6, 8)) == "6/8"


@pytest.mark.parametrize(
    ("numerator", "denominator", "groups"),
    [
        (99999, 8, ()),
        (4, 99999999, ()),
        (4, 3, ()),
        (4, 0, ()),
        (-3, 4, ()),
        (5, 8, (3, 3)),
        (5, 8, (5, 0)),
    ],
)
def test_a_metre_that_is_not_valid_is_refused(numerator, denominator, groups):
    with pytest.raises(MetreError, match=r"not a metre|do not make a metre"):
        Metre(numerator, denominator, groups)
