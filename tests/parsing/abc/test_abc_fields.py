from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_fields import parse_metre, parse_tempo, parse_unit_length
from tests.parsing.abc.abc_examples import song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.
EIGHTH = Fraction(1, 8)


@pytest.mark.parametrize(
    ("text", "metre"),
    [
        ("6/8", Metre(6, 8)),
        ("C", Metre(4, 4)),
        ("C|", Metre(2, 2)),
        ("none", FREE_METRE),
        ("", FREE_METRE),
        (" 3/4 ", Metre(3, 4)),
        ("12/8", Metre(12, 8)),
    ],
)
def test_a_plain_metre_is_read_as_it_is_written(text, metre):
    # Source: section 3.1.6.
    assert parse_metre(text) == (metre, "")


@pytest.mark.parametrize("text", ["(2+3+2)/8", "2+3+2/8", "2 + 3 + 2 / 8"])
def test_a_complex_metre_keeps_its_groups(text):
    # Source: section 3.1.6: the parentheses are optional.
    metre = parse_metre(text).metre
    assert metre.groups == (2, 3, 2)
    assert str(metre) == "7/8"


@pytest.mark.parametrize("text", ["FREI4/4", "4/4]"])
def test_text_around_a_metre_is_ignored_with_a_remark(text):
    assert parse_metre(text) == (Metre(4, 4), f"The metre '{text}' was read as 4/4.")


UNKNOWN_METRES = [
    "waltz", "3/5", "0/4", "3/0", "1000/4", "2", "C3", "0+0/4", "99999/8", "4/99999999", "5+0/8",
    "9" * 450 + "/8", "+".join("1" * 200) + "+99/8",
]  # fmt: skip


@pytest.mark.parametrize("text", UNKNOWN_METRES)
def test_an_unknown_metre_is_free_with_a_short_remark(text):
    field = parse_metre(text)
    assert field.metre == FREE_METRE
    assert field.remark.startswith("The metre '")
    assert len(field.remark) < 100


def test_an_unknown_metre_keeps_the_tune_and_is_remarked_in_header_and_body():
    song = song_of("CDEF|[M:3]GABc|[M:3]c4|", "M:waltz\nL:1/8\nK:C")
    assert len(song.melody) == 9
    assert song.remarks == (
        "The metre 'waltz' is unknown: read without a metre.",
        "The metre '3' is unknown: read without a metre.",
    )


@pytest.mark.parametrize(
    ("text", "unit"), [("1/4", Fraction(1, 4)), ("1", 1), ("1/1", 1), ("1/512", Fraction(1, 512))]
)
def test_a_unit_note_length_is_a_fraction_of_a_whole_note(text, unit):
    # Source: section 3.1.7.
    assert parse_unit_length(text) == unit


@pytest.mark.parametrize("text", ["", "x", "1/0", "0/8", "1/9999", "99"])
def test_an_unknown_unit_note_length_is_refused(text):
    with pytest.raises(AbcError, match="such as 1/8"):
        parse_unit_length(text)


@pytest.mark.parametrize(
    ("text", "quarters"),
    [
        ("1/2=120", 240),
        ("3/8 1/4 1/4=48", 168),
        ('"Allegro" 1/4=120', 120),
        ('3/8=50 "Slowly"', 75),
        ('"At a walk" 1/4 = 96', 96),
    ],
)
def test_a_tempo_counts_its_beats_a_minute(text, quarters):
    # Source: section 3.1.8: several lengths are one beat together, here 7/8.
    assert parse_tempo(text, EIGHTH) == quarters


@pytest.mark.parametrize("text", ["C=120", "120"])
def test_the_older_forms_of_a_tempo_count_unit_notes(text):
    # Source: section 10.1: both mean 120 unit note lengths per minute.
    assert parse_tempo(text, EIGHTH) == 60


@pytest.mark.parametrize("text", ['"Andante"', "", "fast", "1/0=100", "1/4=0"])
def test_a_tempo_without_a_number_is_none(text):
    # Source: section 3.1.8: a string without a tempo is allowed.
    assert parse_tempo(text, EIGHTH) is None


@given(st.text(alphabet='0123456789/+()C|=" ', max_size=20))
def test_any_text_is_a_metre_and_never_breaks_a_tempo(text):
    assert (parse_tempo(text, EIGHTH) or 1) > 0
    assert parse_metre(text).metre.measure_length >= 0
