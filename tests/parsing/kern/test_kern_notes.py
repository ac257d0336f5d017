"""Tokens of **kern."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.kern.kern_notes import read_kern_token


def pitches(token: str) -> list[int]:
    read = read_kern_token(token)
    assert read is not None
    return [tone.pitch for tone in read.tones]


@pytest.mark.parametrize(
    ("token", "pitch"),
    [
        ("4c", 60),
        ("4cc", 72),
        ("4C", 48),
        ("4CC", 36),
        ("4B", 59),
        ("4b", 71),
        ("8f#", 66),
        ("8f##", 67),
        ("8b-", 70),
        ("8b--", 69),
        ("8fn", 65),
    ],
)
def test_letters_and_signs_give_the_pitch(token, pitch):
    # Source: the reference of the **kern representation, "Description": c is middle C (MIDI 60),
    # each repetition an octave up, or down in capitals.
    assert pitches(token) == [pitch]


@pytest.mark.parametrize(
    ("token", "quarters"),
    [
        ("1c", 4),
        ("2c", 2),
        ("4c", 1),
        ("8.c", Fraction(3, 4)),
        ("2..c", Fraction(7, 2)),
        ("0c", 8),
        ("00c", 16),
        ("000c", 32),
        ("3c", Fraction(4, 3)),
        ("6c", Fraction(2, 3)),
        ("12c", Fraction(1, 3)),
        ("10c", Fraction(2, 5)),
        ("92..c", Fraction(7, 92)),
        ("3%2c", Fraction(8, 3)),
        ("cq", 0),
        ("16cQ", 0),
        ("8ccP", Fraction(1, 2)),
        ("4r", 1),
    ],
)
def test_durations_are_reciprocal_numbers_with_dots(token, quarters):
    # Source: Huron, The Humdrum User Guide, chapter 6 (also 92.. for 23 notes in the time of a
    # doubly dotted quarter); the reference of the **kern representation for q, Q and P.
    read = read_kern_token(token)
    assert read is not None
    assert read.duration == quarters


@given(signifiers=st.permutations(["{", "(", "16", "ff#", "/", "'"]))
def test_the_order_of_signifiers_does_not_matter(signifiers):
    # Source: the reference of the **kern representation, "Context dependencies": `{(16ff#/'`
    # and `/ff#16'({` are the same.
    read = read_kern_token("".join(signifiers))
    assert read == read_kern_token("{(16ff#/'")
    assert read is not None
    assert (read.duration, read.tones[0].pitch) == (Fraction(1, 4), 78)


def test_notes_of_a_chord_are_ordered_from_the_lowest_and_tied_one_by_one():
    read = read_kern_token("4cc [4e 4g_")
    assert read is not None
    assert [(tone.pitch, tone.is_tied) for tone in read.tones] == [
        (64, True),
        (67, True),
        (72, False),
    ]


@pytest.mark.parametrize(
    "token",
    [
        "4",
        "4x",
        "4ce",
        "4c8",
        "4c4e",
        "4cC",
        "%",
        "5000c",
        "4.........c",
        "3%99999c",
        "4c 4",
        "4c " * 400,
    ],
)
def test_what_is_no_note_is_none(token):
    assert read_kern_token(token) is None


def test_a_rest_may_say_where_it_is_drawn():
    # music21 10.5 knows it ("manual positioning"): the letters specify a position on the staff.
    assert read_kern_token("4rgg") == read_kern_token("4r")
