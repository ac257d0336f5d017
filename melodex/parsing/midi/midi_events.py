"""Parse the events of MIDI tracks into plain records; the only module that imports mido."""

# ruff: noqa: ANN401 - mido is not typed

import re
import struct
from collections import defaultdict, deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any, NamedTuple

from mido import KeySignatureError, MidiFile

from melodex.errors import ScoreParseError
from melodex.parsing.file_content import decode_text

# A variable-length number has at most three bytes with the high bit set. Text may have more in a
# row, but hardly this many; mido's time for a number is quadratic in its length.
_ENDLESS_NUMBER = re.compile(rb"[\x80-\xff]{1000}")
_KEY_SIGNATURE = re.compile(rb"\xff\x59\x02(?=..)", re.DOTALL)
_OTHER_DATA = b"\xff\x7f\x02"  # a sequencer-specific event of the same length


class PlayedNote(NamedTuple):
    """A note from key press to key release."""

    start: int  # ticks from the beginning of the file
    end: int
    pitch: int
    channel: int  # counted from 0


@dataclass(slots=True)
class MidiTrack:
    """What the events of one track state."""

    name: str = ""
    notes: list[PlayedNote] = field(default_factory=list[PlayedNote])  # by end
    zero_length: int = 0  # number of notes that end as they begin; they are left out
    unended: int = 0  # number of notes never ended; they last until the track ends
    bad_keys: bool = False  # whether key signatures were dropped because they are invalid
    tempos: dict[int, int] = field(default_factory=dict[int, int])  # microseconds, by tick
    metres: dict[int, tuple[int, int]] = field(default_factory=dict[int, tuple[int, int]])
    keys: dict[int, str] = field(default_factory=dict[int, str])  # "G", "F#m"


def track_of(events: bytes, number: int, shown: Path) -> MidiTrack:
    """Parse the events of a track.

    Parameters
    ----------
    events : bytes
        The content of its chunk.
    number : int
        The number of the track, counted from 1, for errors.
    shown : Path
        The path as errors show it.

    Raises
    ------
    ScoreParseError
        If an event is cut off or invalid.
    """
    try:
        return _collected(_messages(events))
    except KeySignatureError:
        # mido 1.3 rejects the whole file for a key of, say, 128 flats.
        without_keys = _KEY_SIGNATURE.sub(_OTHER_DATA, events)
        track = track_of(without_keys, number, shown) if without_keys != events else MidiTrack()
        track.bad_keys = True
        return track
    except (EOFError, OSError, ValueError, LookupError, TypeError) as error:
        reason = f"the MIDI file is damaged or cut off: track {number} has an incomplete event"
        raise ScoreParseError(shown, reason=reason) from error


def _messages(events: bytes) -> Iterable[Any]:
    if _ENDLESS_NUMBER.search(events):
        raise ValueError("an endless number")
    header = struct.pack(">4sIHHh", b"MThd", 6, 0, 1, 480)
    chunk = struct.pack(">4sI", b"MTrk", len(events))
    return list(MidiFile(file=BytesIO(header + chunk + events)).tracks[0])


def _collected(messages: Iterable[Any]) -> MidiTrack:
    """Collect the notes and facts of a track.

    A note-off ends the earliest note of its pitch that still sounds.
    """
    track = MidiTrack()
    sounding: dict[tuple[int, int], deque[int]] = defaultdict(deque)
    now = 0
    for message in messages:
        now += message.time
        match message.type:
            case "note_on" | "note_off":
                _press_or_release(track, sounding[message.channel, message.note], message, now)
            case "track_name":
                track.name = track.name or _text(message.name)
            case "set_tempo":
                track.tempos[now] = message.tempo
            case "time_signature":
                track.metres[now] = message.numerator, message.denominator
            case "key_signature":
                track.keys[now] = message.key
            case _:
                pass  # an event about sound, not notes
    still_held = [(key, start) for key, starts in sounding.items() for start in starts]
    track.unended = len(still_held)
    for (channel, pitch), start in still_held:
        _end(track, start, now, pitch, channel)
    return track


def _press_or_release(track: MidiTrack, starts: deque[int], message: Any, now: int) -> None:
    if message.type == "note_on" and message.velocity:
        starts.append(now)
    elif starts:
        _end(track, starts.popleft(), now, message.note, message.channel)


def _end(track: MidiTrack, start: int, end: int, pitch: int, channel: int) -> None:
    if end > start:
        track.notes.append(PlayedNote(start, end, pitch, channel))
    else:
        track.zero_length += 1


def _text(latin: str) -> str:
    """Return text that mido decoded as Latin-1, decoded again, on one line, without controls."""
    text = decode_text(latin.encode("latin-1"))
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
