"""Keys and their signatures."""

import pytest
from hypothesis import given

from melodex.model.key import SHARPS_OF_MODE, Key, signature_of
from tests.strategies import keys

# Source: The ABC music standard 2.1, section 3.1.14: the tonics of a row share one signature.
ABC_MODES = ("major", "minor", "mixolydian", "dorian", "phrygian", "lydian", "locrian")
ABC_TONICS = {
    7: "C# A# G# D# E# F# B#",
    6: "F# D# C# G# A# B E#",
    5: "B G# F# C# D# E A#",
    4: "E C# B F# G# A D#",
    3: "A F# E B C# D G#",
    2: "D B A E F# G C#",
    1: "G E D A B C F#",
    0: "C A G D E F B",
    -1: "F D C G A Bb E",
    -2: "Bb G F C D Eb A",
    -3: "Eb C Bb F G Ab D",
    -4: "Ab F Eb Bb C Db G",
    -5: "Db Bb Ab Eb F Gb C",
    -6: "Gb Eb Db Ab Bb Cb F",
    -7: "Cb Ab Gb Db Eb Fb Bb",
}
# Common practice, no source: the order in which a clef's sharps and flats are written.
SHARPS, FLATS = "FCGDAEB", "BEADGCF"
ABC_TABLE = [
    (tonic, mode, sharps)
    for sharps, tonics in ABC_TONICS.items()
    for tonic, mode in zip(tonics.split(), ABC_MODES, strict=True)
]


@pytest.mark.parametrize(("tonic", "mode", "sharps"), ABC_TABLE)
def test_a_key_has_the_signature_of_the_abc_table(tonic, mode, sharps):
    shift, letters = (1, SHARPS[:sharps]) if sharps > 0 else (-1, FLATS[:-sharps])
    assert set(signature_of(tonic, mode)) == frozenset({(letter, shift) for letter in letters})


def test_g_sharp_major_has_one_double_sharp():
    # By arithmetic: eight fifths above C; the first of the order, F, is raised twice.
    assert dict(signature_of("G#", "major")) == dict.fromkeys("CGDAEB", 1) | {"F": 2}


@given(key=keys())
def test_a_signature_sounds_the_scale_on_its_tonic(key):
    # Common practice, no source: half-steps above the tonic in each mode.
    scales = {
        "lydian": {0, 2, 4, 6, 7, 9, 11},
        "major": {0, 2, 4, 5, 7, 9, 11},
        "mixolydian": {0, 2, 4, 5, 7, 9, 10},
        "dorian": {0, 2, 3, 5, 7, 9, 10},
        "minor": {0, 2, 3, 5, 7, 8, 10},
        "phrygian": {0, 1, 3, 5, 7, 8, 10},
        "locrian": {0, 1, 3, 5, 6, 8, 10},
    }
    naturals = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    altered = dict(key.signature)
    sounding = {(natural + altered.get(letter, 0)) % 12 for letter, natural in naturals.items()}
    assert {(note - key.tonic_pitch_class) % 12 for note in sounding} == scales[key.mode]


@pytest.mark.parametrize(
    ("tonic", "pitch_class"), [("C", 0), ("B#", 0), ("F#", 6), ("Bb", 10), ("Cb", 11)]
)
def test_a_tonic_has_the_pitch_class_of_its_letter_moved_by_its_accidental(tonic, pitch_class):
    assert Key(tonic, "major").tonic_pitch_class == pitch_class


def test_a_key_without_a_tonic_has_no_pitch_class():
    assert Key("", "").tonic_pitch_class is None


@pytest.mark.parametrize(
    ("key", "text"),
    [(Key("F#", "dorian"), "F# dorian"), (Key("D", ""), "D"), (Key("", ""), "")],
)
def test_a_key_is_named_by_what_its_source_states(key, text):
    assert str(key) == text


def test_every_mode_of_the_abc_table_is_known():
    assert set(ABC_MODES) == set(SHARPS_OF_MODE)


# Common practice, no source: the natural notes as seven modes, each on its own tonic.
@pytest.mark.parametrize(
    ("tonic", "mode"),
    [
        ("C", "major"), ("D", "dorian"), ("E", "phrygian"), ("F", "lydian"), ("G", "mixolydian"),
        ("B", "locrian"),
    ],
)  # fmt: skip
def test_the_natural_notes_are_the_scale_of_seven_modes(tonic, mode):
    assert Key(tonic, mode).scale == frozenset({0, 2, 4, 5, 7, 9, 11})


def test_the_scale_of_minor_has_both_sixths_and_both_sevenths():
    # Common practice, no source: A melodic minor is A B C D E F# G# A up, A G F E D C B A down.
    assert Key("A", "minor").scale == frozenset({9, 11, 0, 2, 4, 5, 6, 7, 8})


@pytest.mark.parametrize("key", [Key("", ""), Key("", "major"), Key("G", ""), Key("G", "blues")])
def test_without_tonic_or_mode_there_is_no_scale(key):
    assert key.scale is None
