from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.model.key import Key
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_key import parse_key, parse_staff
from tests.parsing.abc.abc_examples import song_of

# Sources in this file are sections of the ABC music standard 2.1, December 2011.

# Section 3.1.14, the table of key signatures: seven sharps down to seven flats, by mode.
TABLE = {
    "": "C# F# B E A D G C F Bb Eb Ab Db Gb Cb",
    "m": "A# D# G# C# F# B E A D G C F Bb Eb Ab",
    "Mix": "G# C# F# B E A D G C F Bb Eb Ab Db Gb",
    "Dor": "D# G# C# F# B E A D G C F Bb Eb Ab Db",
    "Phr": "E# A# D# G# C# F# B E A D G C F Bb Eb",
    "Lyd": "F# B E A D G C F Bb Eb Ab Db Gb Cb Fb",
    "Loc": "B# E# A# D# G# C# F# B E A D G C F Bb",
}
SHARPS = [("F", 1), ("C", 1), ("G", 1), ("D", 1), ("A", 1), ("E", 1), ("B", 1)]
FLATS = [("B", -1), ("E", -1), ("A", -1), ("D", -1), ("G", -1), ("C", -1), ("F", -1)]
ROWS = [SHARPS[:n] for n in range(7, -1, -1)] + [FLATS[:n] for n in range(1, 8)]


def signature(text):
    field = parse_key(text)
    return set(field.key.signature) if field.key else None


@pytest.mark.parametrize("mode", TABLE)
def test_every_key_of_the_table_has_its_signature(mode):
    for tonic, row in zip(TABLE[mode].split(), ROWS, strict=True):
        assert signature(tonic + mode) == set(row), tonic + mode


@pytest.mark.parametrize(
    "text", ["C major", "A minor", "C ionian", "A aeolian", "G mixolydian", "D dorian"]
)
def test_full_names_of_modes_are_understood(text):
    # Source: section 3.1.14: all of these produce a staff with no sharps or flats.
    assert signature(text) == set()


@pytest.mark.parametrize("text", ["E phrygian", "F lydian", "B locrian"])
def test_the_rarer_modes_are_understood(text):
    # Source: as above.
    assert signature(text) == set()


@pytest.mark.parametrize("text", ["F# mixolydian", "F#Mix", "F#MIX", "F#mixo", "F♯ Mix"])
def test_three_letters_of_a_mode_count_in_any_case(text):
    # Source: section 3.1.14; section 4.18 for the unicode sign.
    assert str(parse_key(text).key) == "F# mixolydian"


@pytest.mark.parametrize("text", ["Am", "A m", "Amin", "A Minor", "AM"])
def test_minor_may_be_shortened_to_m(text):
    assert str(parse_key(text).key) == "A minor"


def test_accidentals_modify_a_signature():
    # Source: section 3.1.14: D Phr ^f has two flats and one sharp; D =c is D mixolydian's.
    assert signature("D Phr ^f") == {("B", -1), ("E", -1), ("F", 1)}
    assert signature("D maj =c") == signature("D =c") == signature("DMix") == {("F", 1)}
    assert signature("Gm ^f") == {("B", -1), ("E", -1), ("F", 1)}
    assert signature("Dmix=c") == {("F", 1)}


def test_accidentals_alone_make_a_signature_without_tonic():
    assert signature("^f _b") == {("F", 1), ("B", -1)}
    assert str(parse_key("^f _b").key) == ""


def test_explicit_accidentals_make_the_whole_signature():
    # Source: section 3.1.14.
    assert signature("D exp _b _e ^f") == signature("Dexp _b _e ^f") == signature("D Phr ^f")


@pytest.mark.parametrize("text", ["HP", "Hp"])
def test_the_highland_pipe_keys_sound_f_and_c_sharp(text):
    # Source: section 3.1.14: the scale is G A B ^c d e ^f g a.
    assert signature(text) == {("F", 1), ("C", 1)}


@pytest.mark.parametrize("text", ["", "none", " none clef=bass"])
def test_an_empty_field_or_none_means_no_key(text):
    # Source: section 3.1.14.
    assert parse_key(text).key is None
    assert parse_key(text).no_key


@pytest.mark.parametrize("text", ["clef=alto", "perc stafflines=1", "bass middle=d", "treble-8"])
def test_a_field_with_only_a_clef_says_nothing_of_the_key(text):
    # Source: section 4.6, examples.
    assert parse_key(text).key is None
    assert not parse_key(text).no_key


def test_clef_and_unknown_specifiers_may_follow_the_key():
    # Source: section 4.6, examples; unknown names should be ignored.
    assert str(parse_key("Am transpose=-2").key) == "A minor"
    assert str(parse_key('G bass3 name="Low B" mozart:noteC=drum').key) == "G major"


@pytest.mark.parametrize(("german", "usual"), [("H", "B"), ("Es", "Eb"), ("Fis", "F#")])
def test_german_names_are_understood_and_noted(german, usual):
    field = parse_key(german)
    assert str(field.key) == f"{usual} major"
    assert field.read_as == usual


@pytest.mark.parametrize(
    ("text", "key", "ignored"),
    [
        ("D phr -8va", "D phrygian", "-8va"),
        ("G treble8", "G major", "treble8"),
        ("Am 8va lower", "A minor", "8va lower"),
        ("E min/", "E minor", "/"),
        ("Dmix ^g !", "D mixolydian", "!"),
    ],
)
def test_words_that_leave_the_key_clear_are_ignored_with_a_remark(text, key, ignored):
    field = parse_key(text)
    assert str(field.key) == key
    assert field.remarks == (f"In the key '{text}', '{ignored}' was ignored.",)


def test_an_explicit_key_without_accidentals_has_none_and_is_remarked():
    # Source: section 3.1.14: exp states all accidentals.
    field = parse_key("D exp")
    assert field.key == Key("D", "", ())
    assert field.remarks == ("The key 'D exp' lists no accidentals; it has none.",)


def test_remarks_on_keys_reach_the_song_once_from_header_and_body():
    song = song_of("CDEF|[K:G 8va]GABc|\nK:G 8va\nc4|", "L:1/8\nK:D phr -8va")
    assert song.remarks == (
        "In the key 'D phr -8va', '-8va' was ignored.",
        "In the key 'G 8va', '8va' was ignored.",
    )


@pytest.mark.parametrize(
    "text", ["Q", "Gfoo", "G foo", "G foo9 bar", "C##", "Bn", "7", "G major minor", "%"]
)
def test_an_unknown_key_is_refused_with_what_would_be_understood(text):
    with pytest.raises(AbcError, match="a letter A to G"):
        parse_key(text)


def test_octave_and_transposition_add_up():
    # Source: section 4.6.
    assert parse_staff("clef=treble-8 octave=2 transpose=-14") == (0, -2)


@given(st.text(max_size=30))
def test_any_text_is_a_key_or_refused(text):
    with suppress(AbcError):
        assert parse_key(text).key or not parse_key(text).read_as
