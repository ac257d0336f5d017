"""Which notes belong to the scale of their key."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.scale_classes import IN_SCALE, OUTSIDE, UNKNOWN_SCALE, scale_classes
from melodex.model.key import Key

NAMES = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
pitches = st.lists(st.integers(24, 96), min_size=1, max_size=20)


def classes(line, key):
    return scale_classes(np.array(line, np.int16), key).tolist()


def test_a_note_that_needs_an_accidental_lies_outside():
    # G A# B C C# D F# F: accidentals in G major before A#, C# and F natural.
    line = [55, 58, 59, 60, 61, 62, 66, 65]
    outside = [False, True, False, False, True, False, False, True]
    assert classes(line, Key("G", "major")) == [OUTSIDE if out else IN_SCALE for out in outside]


@pytest.mark.parametrize("key", [None, Key("", ""), Key("G", "")])
def test_of_a_key_that_is_not_stated_nothing_is_known(key):
    assert classes([55, 58], key) == [UNKNOWN_SCALE] * 2


@given(line=pitches, mode=st.sampled_from(["major", "minor", "dorian"]), up=st.integers(-12, 12))
def test_transposing_notes_and_key_changes_nothing(line, mode, up):
    moved = [pitch + up for pitch in line]
    assert classes(line, Key("C", mode)) == classes(moved, Key(NAMES[up % 12], mode))
