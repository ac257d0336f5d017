"""A melody checks itself and owns its arrays."""

from dataclasses import FrozenInstanceError, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given

from melodex.errors import MelodyError
from melodex.model.melody import AttachedNotes, Melody
from tests.strategies import melodies, melody_of

ARRAYS = [
    "pitches",
    "onsets",
    "durations",
    "measures",
    "beat_strengths",
    "strings",
    "frets",
    "phrase_ends",
]


def test_a_melody_without_notes_is_a_melody():
    assert len(melody_of()) == 0


@given(melody=melodies())
def test_a_melody_is_as_long_as_its_notes(melody):
    assert len(melody) == len(melody.pitches) == len(melody.onsets)


@pytest.mark.parametrize("name", ARRAYS)
def test_the_arrays_of_a_melody_are_read_only(name):
    melody = melody_of(60, 62, phrase_ends=[1])
    with pytest.raises(ValueError, match="read-only"):
        getattr(melody, name)[0] = 1


def test_a_melody_does_not_change_with_the_array_it_was_built_from():
    pitches = np.array([60, 62], dtype=np.int16)
    melody = replace(melody_of(60, 62), pitches=pitches)
    pitches[0] = 0
    assert melody.pitches.tolist() == [60, 62]


def test_a_field_of_a_melody_cannot_be_replaced_in_place():
    with pytest.raises(FrozenInstanceError):
        melody_of(60).pitches = np.empty(0, np.int16)  # type: ignore[misc]


@pytest.mark.parametrize("name", [name for name in ARRAYS if name != "phrase_ends"])
def test_an_array_of_another_length_is_refused(name):
    too_long: Any = {name: np.append(getattr(melody_of(60, 62), name), 1)}
    with pytest.raises(MelodyError, match=r"have shape .*\nNext: .* one value a note"):
        replace(melody_of(60, 62), **too_long)


@pytest.mark.parametrize("pitch", [-1, 128])
def test_a_pitch_outside_midi_is_refused_and_the_error_names_the_note(pitch):
    with pytest.raises(MelodyError, match=f"Note 2 has pitch {pitch}.*\nNext: move the tune"):
        melody_of(60, pitch)


@pytest.mark.parametrize("pitch", [0, 127])
def test_the_outermost_pitches_of_midi_are_accepted(pitch):
    assert melody_of(pitch).pitches.tolist() == [pitch]


@pytest.mark.parametrize("duration", [0.0, -1.0, np.nan, np.inf])
def test_a_note_without_a_proper_length_is_refused(duration):
    with pytest.raises(MelodyError, match="no length"):
        melody_of(60, 62, onsets=[0, 1], durations=[1, duration])


@pytest.mark.parametrize("onset", [np.nan, np.inf])
def test_a_note_that_begins_at_no_number_is_refused(onset):
    with pytest.raises(MelodyError, match="not a number"):
        replace(melody_of(60, 62), onsets=np.array([0, onset]))


@pytest.mark.parametrize("onsets", [[0, 1, 1], [0, 2, 1]])
def test_a_note_that_does_not_follow_the_one_before_is_refused_by_number(onsets):
    with pytest.raises(MelodyError, match="Note 3 does not begin after"):
        melody_of(60, 62, 64, onsets=onsets, durations=[1, 1, 1])


def test_attached_notes_of_unequal_number_are_refused():
    with pytest.raises(MelodyError, match="one value a note"):
        replace(AttachedNotes.none(), pitches=np.array([60], dtype=np.int16))


def test_attached_notes_are_read_only():
    grace = AttachedNotes(
        notes=np.array([0], dtype=np.int32),
        pitches=np.array([58], dtype=np.int16),
        strings=np.array([3], dtype=np.int8),
        frets=np.array([3], dtype=np.int8),
    )
    with pytest.raises(ValueError, match="read-only"):
        grace.pitches[0] = 60


def test_melodies_are_compared_by_what_they_are_not_by_their_arrays():
    # Arrays have no single truth value; two melodies are equal only where they are the same.
    melody: Melody = melody_of(60)
    assert melody == melody  # noqa: PLR0124
    assert melody != melody_of(60)
