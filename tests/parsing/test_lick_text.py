"""Licks typed as note names and as scale degrees."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import QueryError
from melodex.features.intervals import melodic_intervals
from melodex.model.key import SHARPS_OF_MODE
from melodex.model.lick import MOST_NOTES
from melodex.model.metre import Metre
from melodex.parsing.lick_tab import lick_from_tab
from melodex.parsing.lick_text import lick_from_degrees, lick_from_names
from melodex.search.query import lick_from_abc


def pitches_of(lick):
    return lick.melody.pitches.tolist()


def test_note_names_count_octaves_from_middle_c():
    # Source: scientific pitch notation, ISO 16-style A4 = 69 in MIDI; C4 = 60 (MIDI 1.0).
    assert pitches_of(lick_from_names("C4 A4 d3 Bb3 F#4 E♭4")) == [60, 69, 50, 58, 66, 63]


def test_a_note_is_as_long_as_the_note_before_it_and_the_first_is_an_eighth():
    lick = lick_from_names("D4 E4:q G4 A4:h. B4:1/3")
    assert lick.melody.durations.tolist() == pytest.approx([0.5, 1.0, 1.0, 3.0, 1 / 3])
    assert lick.melody.onsets.tolist() == [0.0, 0.5, 1.5, 2.5, 5.5]


def test_degrees_without_a_mode_are_those_of_the_major_scale():
    assert melodic_intervals(lick_from_degrees("1 2 3 4 5 6 7 8").melody.pitches).tolist() == [
        2, 2, 1, 2, 2, 2, 1,
    ]  # fmt: skip


def test_degrees_above_and_below_the_octave():
    assert pitches_of(lick_from_degrees("5, 1 1' 9 5,,")) == [50, 55, 67, 69, 38]


def test_plain_degrees_are_the_modes_own():
    assert melodic_intervals(
        lick_from_degrees("1 2 3 4 5 6 7 8", "dorian").melody.pitches
    ).tolist() == [2, 1, 2, 2, 2, 1, 2]


@pytest.mark.parametrize("mode", ["major", "minor", "dorian", "phrygian"])
def test_flat_three_is_the_minor_third_in_every_mode(mode):
    assert pitches_of(lick_from_degrees("1 b3", mode)) == [55, 58]


def test_a_raised_seventh_leads_to_the_tonic_in_minor():
    assert pitches_of(lick_from_degrees("#7 8", "minor")) == [66, 67]


@given(mode=st.sampled_from(sorted(SHARPS_OF_MODE)), degree=st.integers(1, 8))
def test_a_degree_eight_higher_is_an_octave_higher(mode, degree):
    low, high = pitches_of(lick_from_degrees(f"{degree} {degree + 7}", mode))
    assert high - low == 12


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("H4 D4", "'H4' is not a note"),
        ("D4 E", "'E' is not a note"),
        ("D4 E4:z", "no note value"),
        ("D4 E4:0", "no note value"),
        ("D4 E4:1/0", "no note value"),
        ("D4 C99", "outside MIDI"),
        ("D4", "one note"),
        ("", "is empty"),
    ],
)
def test_note_names_that_cannot_be_read_are_named_with_a_next_step(text, problem):
    with pytest.raises(QueryError, match=problem) as caught:
        lick_from_names(text)
    assert caught.value.next_step


@pytest.mark.parametrize("text", ["0 1", "1 16", "1 x", "1 bb3", "1 2,'x"])
def test_degrees_that_cannot_be_read_are_named(text):
    with pytest.raises(QueryError, match="is not a scale degree"):
        lick_from_degrees(text)


def test_strings_and_frets_sound_their_pitches_and_may_have_values():
    lick = lick_from_tab("4:0 3:0:q | 2:1 1:5:1/3 5:0 5:7")
    # String 1 fret 5 sounds string 5 open, whose fret 7 is two half-steps higher. Common practice.
    assert pitches_of(lick) == [50, 55, 60, 67, 67, 69]
    assert lick.melody.durations.tolist() == pytest.approx([0.5, 1, 1, 1 / 3, 1 / 3, 1 / 3])


def test_the_same_notes_on_other_strings_are_the_same_lick():
    one, other = lick_from_tab("3:0 2:0 1:0:q"), lick_from_tab("4:5 3:4 2:3:q")
    for name in one.melody.__slots__[:5]:
        assert getattr(one.melody, name).tolist() == getattr(other.melody, name).tolist()
    assert one.melody.strings.tolist() == other.melody.strings.tolist() == [0, 0, 0]


def test_tab_may_be_meant_for_another_tuning():
    # gCGCD and gDGCD, common practice, no source.
    assert pitches_of(lick_from_tab("4:0 2:0", "double C")) == [48, 60]
    assert pitches_of(lick_from_tab("4:0 2:0", "sawmill")) == [50, 60]
    with pytest.raises(QueryError, match="no tuning called 'kitchen'"):
        lick_from_tab("4:0 2:0", "kitchen")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("4:0 6:0", "'6:0' is not a string and fret"),
        ("4:0 3", "'3' is not a string and fret"),
        ("4:0 3:0:z", "no note value"),
        ("4:0 3:23", "String 3 has no fret 23"),
        ("4:0 5:5", "String 5 has no fret 5"),
        ("4:0", "one note"),
    ],
)
def test_tab_that_cannot_be_read_is_named_with_a_next_step(text, problem):
    with pytest.raises(QueryError, match=problem) as caught:
        lick_from_tab(text)
    assert caught.value.next_step


@pytest.mark.parametrize(
    "value",
    ["1e400", "1e9", "9" * 5_000, "1/" + "9" * 5_000, "1/0.0", "nan", "inf", "65", "1_0", "²", "٣"],
)
@pytest.mark.parametrize(
    ("read", "note"), [(lick_from_names, "C4"), (lick_from_degrees, "1"), (lick_from_tab, "4:0")]
)
def test_a_note_value_that_is_out_of_all_measure_is_refused(read, note, value):
    with pytest.raises(QueryError, match="no note value") as caught:
        read(f"{note} {note}:{value}")
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (lick_from_names, "C4 C" + "9" * 5_000),
        (lick_from_names, "C4 C-" + "9" * 5_000),
        (lick_from_names, "C4 C" + "#" * 5_000 + "4"),
        (lick_from_degrees, "1 " + "9" * 5_000),
        (lick_from_degrees, "1 2" + "'" * 5_000),
        (lick_from_tab, "4:0 4:" + "9" * 5_000),
        (lick_from_tab, "4:0 " + "9" * 5_000 + ":0"),
    ],
)
def test_a_note_of_thousands_of_characters_is_refused_in_a_short_sentence(read, text):
    with pytest.raises(QueryError, match=r"is not a|outside MIDI") as caught:
        read(text)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("read", "note"),
    [
        (lick_from_names, "C4 "),
        (lick_from_degrees, "1 "),
        (lick_from_tab, "4:0 "),
        (lick_from_abc, "C"),
    ],
)
def test_a_lick_has_at_most_200_notes_in_every_form(read, note):
    assert len(read(note * MOST_NOTES).melody) == MOST_NOTES == 200
    with pytest.raises(QueryError, match="A lick of 201 notes is too long"):
        read(note * (MOST_NOTES + 1))


def test_abc_of_several_tunes_is_not_a_lick():
    with pytest.raises(QueryError, match="holds 2 tunes, but a lick is a single one"):
        lick_from_abc("X:1\nK:C\nCDE|\n\nX:2\nK:C\nGAB|")


def test_abc_of_a_lick_in_an_additive_metre_is_read():
    lick = lick_from_abc("M:5+3/8\nGABcdefg")
    assert lick.metre == Metre(8, 8, (5, 3))
    assert lick.melody.beat_strengths.tolist() == [1.0, 0.25, 0.25, 0.25, 0.25, 0.5, 0.25, 0.25]


def test_an_unknown_mode_lists_those_that_are_known():
    with pytest.raises(QueryError, match="no mode 'jolly'") as caught:
        lick_from_degrees("1 2 3", "jolly")
    assert "mixolydian" in caught.value.next_step
