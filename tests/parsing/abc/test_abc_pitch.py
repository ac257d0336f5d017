import hypothesis.strategies as st
import pytest
from hypothesis import given

from tests.parsing.abc.abc_examples import pitches, reason_of_failure

# Sources in this file are sections of the ABC music standard 2.1, December 2011.


def test_letters_name_the_octaves_around_middle_c():
    # Source: section 4.1: C is middle C, c the octave above; commas lower, apostrophes raise.
    assert pitches("C, C c c'") == [48, 60, 72, 84]


@pytest.mark.parametrize(("text", "same"), [("C,',", "C,"), ("C'", "c"), ("c,", "C")])
def test_octave_marks_may_be_combined(text, same):
    # Source: section 4.1: C,', means the same as C, and C' the same as c.
    assert pitches(text) == pitches(same)


def test_accidentals_alter_the_note():
    # Source: section 4.2.
    assert pitches("^C|_D|=E|^^F|__G") == [61, 61, 64, 67, 65]


def test_an_accidental_holds_to_the_end_of_the_bar():
    # Source: section 11.3, default "pitch".
    assert pitches("^c c|c") == [73, 73, 72]


def test_an_accidental_holds_on_every_octave_of_the_note():
    # Source: section 11.3: all the notes of the same pitch in all octaves, up to the bar's end.
    assert pitches("^c C c' | C") == [73, 61, 85, 60]


@pytest.mark.parametrize("field", ["I:propagate-accidentals {}", "%%propagate-accidentals {}"])
@pytest.mark.parametrize(
    ("reach", "expected"),
    [("not", [73, 72, 60]), ("octave", [73, 73, 60]), ("pitch", [73, 73, 61])],
)
def test_a_directive_says_how_far_accidentals_reach(field, reach, expected):
    # Source: sections 11.3 and 3.1.17 (either form may be written).
    header = f"M:4/4\nL:1/8\n{field.format(reach)}\nK:C"
    assert pitches("^c c C", header) == expected


def test_the_reach_of_accidentals_may_change_in_the_tune():
    # Source: section 3.1.17: the inline version of a directive is an I: field.
    assert pitches("^c c|[I:propagate-accidentals not]^c c") == [73, 73, 73, 72]


def test_a_natural_overrides_the_key_until_the_end_of_the_bar():
    assert pitches("f =f f|f", "L:1/8\nK:G") == [78, 77, 77, 78]


def test_every_bar_line_ends_an_accidental():
    # Source: section 4.8, the shapes of bar lines.
    for bar in ("|", "||", "|]", "[|", "|:", ":|", "::", "|1", ":|2", "[|]", ".|"):
        assert pitches(f"^c {bar} c") == [73, 72]


def test_the_bracket_of_an_ending_is_no_bar_line():
    assert pitches("^c [1 c") == [73, 73]


def test_a_tie_carries_the_accidental_over_the_bar_line_to_its_note_only():
    # Common practice, no source.
    assert pitches("^c-|c c") == [73, 72]


def test_an_accidental_on_a_grace_note_holds_too():
    # Source: section 11.3 makes no exception.
    assert pitches("{^c}d c") == [74, 73]


def test_an_accidental_inside_a_chord_holds_too():
    assert pitches("[^FA] f") == [69, 78]


def test_a_change_of_key_holds_from_there_on():
    # Source: section 3.2, fields within the tune, on a line or between brackets.
    assert pitches("f|[K:G]f|\nK:F\nb|") == [77, 78, 82]


def test_an_octave_parameter_moves_the_notes():
    # Source: section 4.6.
    assert pitches("c", "K:C octave=-1") == [60]
    assert pitches("c [K:octave=1] c") == [72, 84]


@pytest.mark.parametrize(("clef", "pitch"), [("treble-8", 60), ("clef=treble+8", 84), ("bass", 72)])
def test_an_octave_clef_moves_the_notes_and_a_plain_clef_does_not(clef, pitch):
    # Source: section 4.6: the player will transpose the notes one octave.
    assert pitches("c", f"K:C {clef}") == [pitch]


def test_a_change_of_clef_leaves_the_key_signature():
    assert pitches("f [K:clef=alto] f", "K:G") == [78, 78]


def test_transposition_by_whole_octaves_is_heard():
    # Source: section 4.6: K:bass middle=d transpose=-24 gets the playback at the correct pitch.
    assert pitches("d", "K:bass middle=d transpose=-24") == [50]


def test_a_transposing_instrument_is_kept_as_written():
    # Its chord symbols and key are written for the instrument too.
    assert pitches("c", "K:C transpose=-2") == [72]


@pytest.mark.parametrize("note", ["C" + "," * 6, "c" + "'" * 5, "C" + "," * 500])
def test_a_note_outside_midi_is_refused_with_its_measure(note):
    reason = reason_of_failure(f"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|CDEF|{note}")
    assert "outside MIDI" in reason
    assert "measure 3" in reason


def test_reserved_characters_are_passed_over_inside_and_between_notes():
    # Source: section 8.1.
    odd = '*g !mf! @e#d3/2? [K:D] f;g*c "#mind the @gate?" y |##'
    plain = 'g !mf! ed3/2 [K:D] fgc "#mind the @gate?" y |'
    assert pitches(odd) == pitches(plain) == [79, 76, 74, 78, 79, 73]


@given(st.lists(st.sampled_from("CDEFGABcdefgab"), min_size=1), st.integers(1, 2))
def test_writing_everything_an_octave_higher_raises_every_note_by_twelve(letters, octaves):
    low = pitches(" ".join(letters))
    high = pitches(" ".join(letter + "'" * octaves for letter in letters))
    assert high == [pitch + 12 * octaves for pitch in low]
