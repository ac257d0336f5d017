"""Which line of a MIDI file is read."""

import pytest

from melodex.parsing.midi.melody_track import melody_of, midi_lines
from melodex.parsing.midi.midi_events import MidiTrack, PlayedNote


def notes(*pitches, length=96, step=96, channel=0):
    return [
        PlayedNote(place * step, place * step + length, pitch, channel)
        for place, pitch in enumerate(pitches)
    ]


def chosen_of(*tracks):
    return melody_of(midi_lines(tracks))


TUNE = MidiTrack("", notes(67, 69, 71, 72, 74, 72, 71, 69))
BASS = MidiTrack("", notes(43, 43, 38, 43, 43, 38, 38, 43))
CHORDS = MidiTrack("", [note for pitch in (71, 74, 79) for note in notes(*[pitch] * 8)])
FILL = MidiTrack("", notes(84, 86))


@pytest.mark.parametrize("other", [BASS, CHORDS, FILL])
@pytest.mark.parametrize("first", [True, False])
def test_the_tune_is_read_rather_than_bass_chords_or_a_fill(other, first):
    tracks = [TUNE, other] if first else [other, TUNE]
    assert chosen_of(*tracks).notes == TUNE.notes


@pytest.mark.parametrize("name", ["Melody", "lead vocal", "FIDDLE", "Tune 1"])
def test_a_track_named_for_the_tune_is_read_whatever_it_plays(name):
    assert chosen_of(TUNE, MidiTrack(name, BASS.notes)).notes == BASS.notes


def test_the_channels_of_one_track_are_lines_of_their_own():
    track = MidiTrack("All", notes(43, 43, 38, 43, channel=1) + notes(67, 69, 71, 72, channel=4))
    lines = midi_lines([MidiTrack("Tempo"), track])
    assert [(line.track, line.channel) for line in lines] == [(1, 2), (1, 5)]
    assert melody_of(lines).channel == 5


def test_channel_10_is_percussion():
    # Source: General MIDI 1 (from memory).
    assert [line.is_percussion for line in midi_lines([MidiTrack("", notes(38, channel=9))])] == [
        True
    ]
