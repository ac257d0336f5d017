"""Beats of a measure, counted as musicians count."""

import pytest

from melodex.features.counted_beats import beat_at
from melodex.parsing.abc.abc_reader import read_abc


def beats_in(metre, notes):
    (song,) = read_abc(f"X:1\nT:The Gate\nM:{metre}\nL:1/8\nK:G\n{notes}\n", "").songs
    return [beat_at(song, onset) for onset in song.melody.onsets.tolist()]


# Common practice, no source.
@pytest.mark.parametrize(
    ("metre", "notes", "beats"),
    [
        ("4/4", "G2AB cdef|g4 g4|", [1, 2, 2.5, 3, 3.5, 4, 4.5, 1, 3]),
        ("6/8", "GABcde|g3 g3|", [1, 2, 3, 4, 5, 6, 1, 4]),
        ("2/2", "G2AB cdef|", [1, 1.5, 1.75, 2, 2.25, 2.5, 2.75]),
        ("4/4", "(3GAB c2 d4|", [1, 1.333, 1.667, 2, 3]),
    ],
)
def test_beats_are_counted_in_the_metres_lower_number(metre, notes, beats):
    assert beats_in(metre, notes) == beats


def test_a_pickup_is_counted_as_the_end_of_a_measure():
    assert beats_in("4/4", "AB|c4 d4|") == [4, 4.5, 1, 3]


def test_a_measure_that_a_repeat_divides_is_counted_on():
    assert beats_in("4/4", "|:c4 d4|e4 d2:|ef|g4 g4|")[2:6] == [1, 3, 4, 4.5]


def test_a_new_metre_is_counted_from_where_it_begins():
    assert beats_in("4/4", "c4 d4|[M:6/8]GABcde|") == [1, 3, 1, 2, 3, 4, 5, 6]


def test_free_metre_has_no_beats():
    assert beats_in("none", "GABc|d4|") == [None] * 5
