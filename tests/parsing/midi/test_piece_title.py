"""What counts as a title."""

import pytest

from melodex.parsing.midi.midi_events import MidiTrack
from melodex.parsing.midi.piece_title import title_of


@pytest.mark.parametrize(
    "name", ["The Green Gate", "Old Piano Rag", "Violin Jig", "Früh am Tor", "7"]
)
def test_the_name_of_the_first_track_is_the_title(name):
    assert title_of([MidiTrack(name), MidiTrack("Gate Post")]) == ([name] if name != "7" else [])


@pytest.mark.parametrize(
    "name",
    ["", "Piano", "Acoustic Grand Piano", "Violin 1", "Track 01", "Tenor Sax", "Banjo", "Untitled",
     "Inst 1", "Right Hand", "String Ensemble 1", "Melody", "[Staff 1]"],
)  # fmt: skip
def test_an_instrument_or_a_part_is_no_title(name):
    assert title_of([MidiTrack(name)]) == []
