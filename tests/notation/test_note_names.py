"""Letters and octaves of MIDI notes."""

from melodex.model.key import Key, signature_of
from melodex.notation.note_names import note_name


def test_names_follow_the_keys_signature():
    flat_key = Key("F", "major", signature_of("F", "major"))
    assert note_name(70, flat_key) == "Bb4"
    assert note_name(70) == "A#4"
