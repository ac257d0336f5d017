"""Letters and octaves of MIDI notes."""

from melodex.model.key import Key, signature_of
from melodex.notation.note_names import note_name


def test_names_follow_the_keys_signature():
    flat_key = Key("F", "major", signature_of("F", "major"))
    assert note_name(70, flat_key) == "Bb4"
    assert note_name(66) == "F#4"


def test_blue_notes_of_g_major_are_flats():
    # The flat third and the flat seventh, B flat and F. Common practice, no source.
    assert note_name(70, Key("G", "major", signature_of("G", "major"))) == "Bb4"
