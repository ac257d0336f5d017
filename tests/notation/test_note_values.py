"""Lengths of time as note values."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from melodex.notation.note_values import note_values


def names(length):
    return [(value.name, value.dots, value.tuplet) for value in note_values(Fraction(length))]


def test_plain_dotted_and_triplet_lengths_are_one_note_each():
    # Common practice, no source: a dot adds half, a second one a quarter.
    assert names(1) == [("quarter", 0, (1, 1))]
    assert names("3/2") == [("quarter", 1, (1, 1))]
    assert names("7/4") == [("quarter", 2, (1, 1))]
    assert names("1/3") == [("eighth", 0, (3, 2))]
    assert names("1/5") == [("16th", 0, (5, 4))]


def test_other_lengths_are_tied_from_the_longest_note_on():
    assert names("5/2") == [("half", 0, (1, 1)), ("eighth", 0, (1, 1))]


@given(parts=st.integers(1, 400), below=st.sampled_from([1, 2, 4, 8, 16, 3, 6, 12, 24, 5, 7]))
def test_tied_notes_add_up_to_the_length(parts, below):
    length = Fraction(parts, below)
    assert sum(value.length for value in note_values(length)) == length
