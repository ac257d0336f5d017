"""MIDI files for tests, written by music21 or by mido."""

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Any, NamedTuple

import mido
import numpy as np
from music21 import meter, note, stream, tempo
from music21.midi.translate import streamToMidiFile

from melodex._types import Beats
from melodex.model.melody import Melody
from melodex.model.song import Song
from melodex.parsing.midi.midi_reader import read_midi
from tests.bundled import bundled_songs

COLLECTIONS = ("ryansMammoth", "airdsAirs")


class Note(NamedTuple):
    """A note, in quarter notes from the start."""

    onset: float
    duration: float
    pitch: int = 67


def in_a_row(*durations: float) -> list[Note]:
    """Return consecutive notes up and down a scale; a negative duration is a rest."""
    notes: list[Note] = []
    now = 0.0
    for place, duration in enumerate(durations):
        if duration > 0:
            notes.append(Note(now, duration, (62, 64, 66, 67, 69, 71)[place % 6]))
        now += abs(duration)
    return notes


def track(
    notes: Iterable[Note], *meta: Any, division: int = 480, channel: int = 0, name: str = ""
) -> mido.MidiTrack:
    """Return a track of notes; ``meta`` are messages whose times are ticks from the start."""
    events = [(message.time, 0, message) for message in meta]
    if name:
        events.append((0, 0, mido.MetaMessage("track_name", name=name)))
    for onset, duration, pitch in notes:
        start, end = round(onset * division), round((onset + duration) * division)
        key = {"note": pitch, "channel": channel}
        events.append((start, 2, mido.Message("note_on", velocity=80, **key)))
        events.append((end, 1, mido.Message("note_off", **key)))
    written = mido.MidiTrack()
    now = 0
    for time, _, message in sorted(events, key=lambda event: event[:2]):
        written.append(message.copy(time=time - now))
        now = time
    return written


def file_of(*tracks: mido.MidiTrack, layout: int = 1, division: int = 480) -> bytes:
    """Return a file of tracks, written by mido."""
    content = BytesIO()
    mido.MidiFile(type=layout, ticks_per_beat=division, tracks=list(tracks)).save(file=content)
    return content.getvalue()


def metre(numerator: int, denominator: int, time: int = 0) -> Any:
    return mido.MetaMessage(
        "time_signature", numerator=numerator, denominator=denominator, time=time
    )


def tempo_of(a_minute: float) -> Any:
    return mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(a_minute))


def song_of_midi(content: bytes, name: str = "gate.mid") -> Song:
    (song,) = read_midi(content, name, "").songs
    return song


def written_by_music21(notes: Iterable[Note], signature: str = "4/4") -> bytes:
    """Return a file of one part, written by music21."""
    part: Any = stream.Part()
    part.insert(0, tempo.MetronomeMark(number=100))
    part.insert(0, meter.TimeSignature(signature))
    for onset, duration, pitch in notes:
        part.insert(onset, note.Note(pitch, quarterLength=duration))
    content: bytes = streamToMidiFile(part).writestr()
    return content


def notes_of(melody: Melody) -> list[Note]:
    lines = (melody.onsets.tolist(), melody.durations.tolist(), melody.pitches.tolist())
    return [Note(*each) for each in zip(*lines, strict=True)]


def bundled_tunes(count: int, shortest: float = 0.0) -> list[tuple[Song, list[Note]]]:
    """Return tunes of two collections, read by our ABC reader, without very short notes."""
    drawn: list[tuple[Song, list[Note]]] = []
    generator = np.random.default_rng(12)
    for collection in COLLECTIONS:
        tunes = [tune for tune in bundled_songs(collection) if _is_fit(tune.melody, shortest)]
        chosen = generator.permutation(len(tunes))[: -(-count // len(COLLECTIONS))]
        drawn += [(tunes[place], notes_of(tunes[place].melody)) for place in chosen]
    return drawn[:count]


def _is_fit(melody: Melody, shortest: float) -> bool:
    steps = [*melody.durations.tolist(), *np.diff(melody.onsets).tolist()]
    return len(melody) > 15 and min(steps) >= shortest - 1e-6


def moved(notes: Sequence[Note], seconds: float, a_minute: float, seed: int) -> list[Note]:
    """Move each onset by up to some seconds either way, keeping the lengths."""
    most = seconds * a_minute / 60
    steps: Beats = np.random.default_rng(seed).uniform(-most, most, len(notes))
    return [
        each._replace(onset=max(each.onset + step, 0.0))
        for each, step in zip(notes, steps.tolist(), strict=True)
    ]
