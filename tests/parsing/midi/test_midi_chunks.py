"""Complete and incomplete MIDI files."""

import struct
from pathlib import Path

import pytest

from melodex.errors import ScoreParseError
from melodex.parsing.midi.midi_chunks import MOST_BYTES, chunks_of
from tests.parsing.midi.midi_files import file_of, in_a_row, track

SHOWN = Path("gate.mid")

CONTENT = file_of(track(in_a_row(1, 1)), track(in_a_row(2)))


def chunk(kind: bytes, body: bytes) -> bytes:
    return kind + struct.pack(">I", len(body)) + body


def header(layout: int = 1, tracks: int = 1, division: int = 480) -> bytes:
    return chunk(b"MThd", struct.pack(">HHh", layout, tracks, division))


def reason_for(content: bytes) -> str:
    with pytest.raises(ScoreParseError) as caught:
        chunks_of(content, SHOWN)
    return caught.value.reason


def test_a_file_is_taken_apart_into_its_tracks():
    chunks = chunks_of(CONTENT, SHOWN)
    assert (chunks.format, chunks.division, len(chunks.tracks)) == (1, 480, 2)


def test_a_chunk_of_another_kind_is_skipped_and_a_longer_header_is_read():
    # Source: Standard MIDI Files specification 1.0 (from memory): both are to be expected.
    longer = chunk(b"MThd", struct.pack(">HHh", 1, 1, 96) + b"more")
    content = longer + chunk(b"XFIH", b"who knows") + chunk(b"MTrk", b"\0\xff\x2f\0")
    chunks = chunks_of(content, SHOWN)
    assert (chunks.division, chunks.tracks) == (96, [b"\0\xff\x2f\0"])


def test_zeros_after_the_last_chunk_do_no_harm():
    assert chunks_of(CONTENT + bytes(30), SHOWN) == chunks_of(CONTENT, SHOWN)


@pytest.mark.parametrize("kept", [3, 8, 13, 14, 20, 40, len(CONTENT) - 1])
def test_a_file_that_is_cut_off_is_refused_wherever_it_is_cut(kept):
    assert "damaged or cut off" in reason_for(CONTENT[:kept])


def test_a_file_with_fewer_tracks_than_it_promises_is_refused():
    assert "it has 0 of the 2 tracks" in reason_for(header(tracks=2))


def test_a_format_that_does_not_exist_is_refused_by_its_number():
    assert "format 3" in reason_for(header(layout=3, tracks=0))


def test_a_file_that_counts_no_ticks_is_refused():
    assert "no ticks" in reason_for(header(tracks=0, division=0))


def test_more_events_than_can_be_read_in_seconds_are_refused_at_once():
    controllers = b"\0\xb0\1\1" + b"\0\1\1" * (MOST_BYTES // 3)
    assert "more than" in reason_for(header() + chunk(b"MTrk", controllers))
