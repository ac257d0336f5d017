"""The events of a track."""

from pathlib import Path

import mido
import pytest

from melodex.errors import ScoreParseError
from melodex.parsing.midi.midi_events import PlayedNote, track_of

SHOWN = Path("gate.mid")

END = b"\0\xff\x2f\0"
NOTE = b"\0\x90\x43\x40\x60\x80\x43\0"  # G4 for 96 ticks


def read(events: bytes):
    return track_of(events + END, 1, SHOWN)


def test_a_note_lasts_from_key_down_to_key_up():
    assert read(NOTE).notes == [PlayedNote(0, 96, 67, 0)]


def test_running_status_and_a_velocity_of_0_are_understood():
    # Source: MIDI 1.0 (from memory): a status byte applies until the next; velocity 0 is key up.
    events = b"\0\x92\x43\x40\x60\x43\0\0\x45\x40\x30\x45\0"
    assert read(events).notes == [PlayedNote(0, 96, 67, 2), PlayedNote(96, 144, 69, 2)]


def test_of_one_pitch_struck_twice_the_first_end_ends_the_first():
    events = b"\0\x90\x43\x40\x10\x43\x40\x10\x43\0\x10\x43\0"
    assert read(events).notes == [PlayedNote(0, 32, 67, 0), PlayedNote(16, 48, 67, 0)]


def test_a_note_without_length_is_counted_and_left_out():
    track = read(b"\0\x90\x43\x40\0\x43\0" + NOTE)
    assert (track.zero_length, len(track.notes)) == (1, 1)


def test_a_note_that_never_ends_lasts_until_its_track_does():
    track = track_of(b"\0\x90\x43\x40\x60\xff\x2f\0", 1, SHOWN)
    assert (track.unended, track.notes) == (1, [PlayedNote(0, 96, 67, 0)])


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Früh".encode(), "Früh"),
        ("Früh".encode("latin-1"), "Früh"),
        (b"  The\x00Green\x1b[31m\n Gate ", "The Green [31m Gate"),
    ],
)
def test_a_name_is_text_on_one_line_without_control_characters(written, name):
    assert read(b"\0\xff\x03" + bytes([len(written)]) + written + NOTE).name == name


def test_metre_tempo_and_key_are_kept_with_their_ticks():
    track = mido.MidiTrack(
        [
            mido.MetaMessage("set_tempo", tempo=600_000),
            mido.MetaMessage("time_signature", numerator=6, denominator=8, time=96),
            mido.MetaMessage("key_signature", key="F#m", time=4),
        ]
    )
    events = b"".join(bytes([message.time, *message.bytes()]) for message in track)
    heard = read(events)
    assert (heard.tempos, heard.metres, heard.keys) == ({0: 600_000}, {96: (6, 8)}, {100: "F#m"})


def test_a_key_of_128_flats_is_left_out_and_nothing_else_is():
    track = read(b"\0\xff\x59\x02\x80\x00" + NOTE)
    assert (track.bad_keys, track.keys, len(track.notes)) == (True, {}, 1)


@pytest.mark.parametrize(
    "events",
    [
        b"\0\x43\x40",  # no status before it
        b"\0\x90\xc3\x40",  # a pitch above 127
        b"\0\xff\x58\x01\x04",  # a metre of one byte
        b"\0\xff\x03\x7fGate",  # a name longer than its track
        b"\0\xf0\xff\xff\xff\x7f\x01",  # a message of 256 MB
        b"\0\xf4\x01",  # a status that does not exist
        b"\xff" * 400_000,  # a number without end
    ],
)
def test_an_event_that_makes_no_sense_is_refused_with_its_track(events):
    with pytest.raises(ScoreParseError, match="track 1"):
        read(events)
