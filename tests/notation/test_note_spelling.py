"""Letters and accidentals of written notes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch

from melodex.model.key import Key, signature_of
from melodex.notation.note_spelling import Accidentals, SpelledPitch, spelled
from tests.strategies import keys

_SIGNS = {-2: "--", -1: "-", 0: "", 1: "#", 2: "##"}


def key_of(tonic, mode):
    return Key(tonic, mode, signature_of(tonic, mode))


@given(pitch=st.integers(24, 127), key=st.none() | keys())
def test_a_spelled_note_sounds_as_music21_reads_it(pitch, key):
    note = spelled(pitch, key)
    # Source: music21's own pitch names, where C4 is middle C and "-" a flat.
    assert Pitch(f"{note.letter}{_SIGNS[note.half_steps]}{note.octave}").ps == pitch


@given(key=keys(), octave=st.integers(2, 7))
def test_notes_of_the_signature_need_no_accidental(key, octave):
    accidentals = Accidentals(key)
    naturals = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
    for letter, half_steps in key.signature:
        note = spelled(12 * octave + naturals[letter] + half_steps, key)
        assert not accidentals.must_show(note)


@pytest.mark.parametrize(
    ("pitch", "key", "letter", "half_steps"),
    [  # Harmonic minor's leading notes and the usual blue notes. Common practice, no source.
        (61, ("D", "minor"), "C", 1),
        (66, ("G", "minor"), "F", 1),
        (68, ("A", "minor"), "G", 1),
        (70, ("G", "major"), "B", -1),
        (63, ("C", "major"), "E", -1),
        (66, ("C", "major"), "F", 1),
    ],
)
def test_notes_outside_the_scale_are_spelled_as_players_expect(pitch, key, letter, half_steps):
    note = spelled(pitch, key_of(*key))
    assert (note.letter, note.half_steps) == (letter, half_steps)


def test_an_accidental_holds_for_its_line_until_it_is_taken_back():
    accidentals = Accidentals(key_of("G", "major"))
    natural, sharp = SpelledPitch("F", 0, 4), SpelledPitch("F", 1, 4)
    shown = [accidentals.must_show(note) for note in (sharp, natural, natural, sharp, sharp)]
    assert shown == [False, True, False, True, False]
    assert not accidentals.must_show(SpelledPitch("F", 1, 5))
