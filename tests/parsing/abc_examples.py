"""Short ways to read one ABC tune in a test."""

from melodex.model.song import Song
from melodex.parsing.abc_reader import read_abc

NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def song_of(body: str, header: str = "M:4/4\nL:1/8\nK:C", **options: object) -> Song:
    """Read a tune that must be readable."""
    reading = read_abc(f"X:1\nT:Example\n{header}\n{body}\n", "example.abc", **options)
    assert not reading.failures, reading.failures
    return reading.songs[0]


def pitches(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[int]:
    """Read the MIDI numbers of a tune's melody."""
    return song_of(body, header).melody.pitches.tolist()


def durations(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> list[float]:
    """Read the durations of a tune's melody, in eighth notes."""
    return (song_of(body, header).melody.durations * 2).tolist()


def reason_of_failure(text: str) -> str:
    """Read a tune that must not be readable; return why it is not."""
    reading = read_abc(text, "example.abc")
    assert not reading.songs
    return reading.failures[0].reason
