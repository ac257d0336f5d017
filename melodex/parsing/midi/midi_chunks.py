"""Split a Standard MIDI File into its chunks, checking that each is complete."""

import struct
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError

# mido parses half a megabyte of events in two seconds at most (measured: 12 microseconds each, the
# shortest three bytes long); the largest file in music21's corpus has 0.07 MB.
MOST_BYTES = 512 * 1024
MOST_TRACKS = 1000
_HEADER_BYTES = 6
_DAMAGED = "the MIDI file is damaged or cut off"
ONE_LINE, TOGETHER, SONG_EACH = 0, 1, 2  # the three formats


class MidiChunks(NamedTuple):
    """The chunks of a MIDI file."""

    format: int  # 0: a single track; 1: simultaneous tracks; 2: a song in each track
    division: int  # raw header value: ticks to a quarter note, or below 0 SMPTE frames
    tracks: list[bytes]  # the events of each track


def chunks_of(content: bytes, shown: Path) -> MidiChunks:
    """Split a MIDI file into its chunks.

    Raises
    ------
    ScoreParseError
        If a chunk is shorter than it says, tracks are missing, or there are too many events to
        read.

    Source
    ------
    Standard MIDI Files specification 1.0 (from memory): chunks other than MThd and MTrk are
    skipped, and a header may be longer than its six bytes.
    """
    chunks = _split(content, shown)
    kind, header = chunks[0] if chunks else (b"", b"")
    if kind != b"MThd" or len(header) < _HEADER_BYTES:
        raise ScoreParseError(shown, reason=_DAMAGED)
    layout, promised, division = struct.unpack(">HHh", header[:_HEADER_BYTES])
    tracks = [body for kind, body in chunks[1:] if kind == b"MTrk"]
    if layout > SONG_EACH:
        raise ScoreParseError(shown, reason=f"it is a MIDI file of the unknown format {layout}")
    if len(tracks) < promised:
        reason = f"{_DAMAGED}: it has {len(tracks)} of the {promised} tracks that it should have"
        raise ScoreParseError(shown, reason=reason)
    if len(tracks) > MOST_TRACKS or sum(map(len, tracks)) > MOST_BYTES:
        reason = f"it has more than {MOST_TRACKS:,} tracks or {MOST_BYTES // 1024:,} KB of events"
        raise ScoreParseError(shown, reason=reason)
    if division == 0:
        raise ScoreParseError(shown, reason="the MIDI file has no ticks in a quarter note")
    return MidiChunks(layout, division, tracks)


def _split(content: bytes, shown: Path) -> list[tuple[bytes, bytes]]:
    chunks: list[tuple[bytes, bytes]] = []
    start = 0
    while start + 8 <= len(content):
        end = start + 8 + int.from_bytes(content[start + 4 : start + 8])
        if end > len(content):
            raise ScoreParseError(shown, reason=_DAMAGED)
        chunks.append((content[start : start + 4], content[start + 8 : end]))
        start = end
    if content[start:].strip(b"\0"):  # some writers fill up with zeros
        raise ScoreParseError(shown, reason=_DAMAGED)
    return chunks
