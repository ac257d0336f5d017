"""Beats, and where notes are split so that the beats stay visible."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.meter import TimeSignature

from melodex.model.metre import FREE_METRE, Metre
from melodex.notation.metre_weights import beats_of, cut_at_beats
from tests.strategies import metres

COMMON, WALTZ, JIG = Metre(4, 4), Metre(3, 4), Metre(6, 8)


def cuts(metre, begin, end, *, is_rest=False):
    parts = cut_at_beats(Fraction(begin), Fraction(end), beats_of(metre), is_rest=is_rest)
    return [float(stop) for _, stop in parts[:-1]]


@pytest.mark.parametrize("metre", [(2, 4), (3, 4), (4, 4), (6, 8), (9, 8), (12, 8), (2, 2)])
def test_beats_begin_where_music21_has_them(metre):
    # Source: music21's TimeSignature, the default partition into beats.
    expected = TimeSignature(f"{metre[0]}/{metre[1]}").beatSequence
    lengths = [part.duration.quarterLength for part in expected]
    starts = [sum(lengths[:place]) for place in range(len(lengths))]
    assert [float(start) for start in beats_of(Metre(*metre)).starts] == starts


def test_stated_groups_are_the_beats():
    assert [float(start) for start in beats_of(Metre(7, 8, (3, 2, 2))).starts] == [0, 1.5, 2.5]


# Common practice, no source.
@pytest.mark.parametrize(
    ("metre", "begin", "end", "expected"),
    [
        (COMMON, 0, 4, []),  # a whole note
        (COMMON, 1, 3, []),  # a half note on the second beat
        (COMMON, Fraction(1, 2), Fraction(3, 2), []),  # a quarter note off the beat
        (COMMON, Fraction(3, 2), Fraction(5, 2), [2]),  # over the middle of the measure
        (COMMON, Fraction(3, 4), Fraction(5, 4), [1]),  # an eighth note over a beat
        (COMMON, 0, Fraction(5, 2), [2]),  # a length that has no value of its own
        (WALTZ, 1, 3, []),
        (JIG, 0, 3, []),  # a dotted half note
        (JIG, 0, 2, [Fraction(3, 2)]),  # a half note would hide the second beat
        (JIG, 1, 2, [Fraction(3, 2)]),
        (JIG, Fraction(1, 2), Fraction(3, 2), []),
    ],
)
def test_a_note_is_cut_where_its_value_would_hide_the_beat(metre, begin, end, expected):
    assert cuts(metre, begin, end) == [float(place) for place in expected]


def test_a_rest_hides_no_beat_at_all():
    assert cuts(COMMON, 1, 3, is_rest=True) == [2]
    assert cuts(COMMON, Fraction(1, 2), Fraction(3, 2), is_rest=True) == [1]


@given(
    metre=metres() | st.just(FREE_METRE),
    begin=st.integers(0, 48).map(lambda n: Fraction(n, 8)),
    length=st.integers(1, 64).map(lambda n: Fraction(n, 8)),
    is_rest=st.booleans(),
)
def test_cut_notes_fill_the_same_time_without_gaps(metre, begin, length, is_rest):
    parts = cut_at_beats(begin, begin + length, beats_of(metre), is_rest=is_rest)
    assert parts[0][0] == begin
    assert parts[-1][1] == begin + length
    assert all(one[1] == other[0] for one, other in pairwise(parts))
    assert all(first < last for first, last in parts)
