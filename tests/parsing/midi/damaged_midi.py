"""Seeds for fuzzing MIDI, and repairs of the chunk lengths, so that damage reaches the events."""

import struct
from pathlib import Path

import music21

from tests.parsing.midi.midi_files import Note, file_of, in_a_row, metre, moved, tempo_of, track

_LARGEST_SEED = 4000  # bytes


def midi_seeds() -> list[bytes]:
    """Return files of every format: exact and as played, with one line and with several, and real
    ones.
    """
    exact = in_a_row(*[0.5, 0.25, 0.25, 1, 1 / 3, 1 / 3, 1 / 3] * 4)
    played = moved(exact, 0.03, 100, seed=1)
    drone = [Note(4.0 * measure, 4.0, 48) for measure in range(4)]
    made = [
        file_of(track(exact, metre(3, 4), name="Gate")),
        file_of(track(played, tempo_of(97), metre(6, 8)), layout=0),
        file_of(track(exact), track(drone), layout=2),
        file_of(track(drone), track(exact, channel=9), track(played, channel=2, name="Melody")),
    ]
    folder = Path(music21.__file__).parent / "midi" / "testPrimitive"
    real = (path.read_bytes() for path in sorted(folder.glob("*.mid")))
    return [*made, *(content for content in real if len(content) < _LARGEST_SEED)]


def with_true_lengths(content: bytes) -> bytes:
    """Set the lengths and the number of tracks to match the damaged content."""
    opening, *tracks = content.split(b"MTrk")
    division = opening[12:14].ljust(2, b"\0")
    header = struct.pack(">4sIHH", b"MThd", 6, opening[9] if len(opening) > 9 else 1, len(tracks))
    bodies = (struct.pack(">4sI", b"MTrk", len(track[4:])) + track[4:] for track in tracks)
    return header + division + b"".join(bodies)
