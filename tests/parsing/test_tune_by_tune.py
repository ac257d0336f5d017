"""A tune that cannot be read does not affect the others."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from melodex.errors import MelodyError, ScoreParseError
from melodex.model.song import Song, Source
from melodex.parsing.tune_by_tune import read_tunes
from tests.strategies import melody_of, song_of

BOOK = Path("book.krn")


def song_at(source: Source) -> Song:
    return replace(song_of(melody_of(60, 62)), source=source)


def failing(error: Exception) -> Callable[[Source], Song]:
    def read(_: Source) -> Song:
        raise error

    return read


@pytest.mark.parametrize(
    ("error", "line", "reason"),
    [
        (ScoreParseError(BOOK, reason="it has no notes", line=7), 7, "it has no notes"),
        (ScoreParseError(BOOK, reason="it has no notes"), 3, "it has no notes"),
        (MelodyError("Two notes overlap.", "pick a voice."), 3, "two notes overlap"),
        (OverflowError("too large"), 3, "its reader failed (OverflowError: too large)"),
    ],
)
def test_whatever_a_reader_raises_leaves_the_other_tunes(error, line, reason):
    readers: list[Callable[[Source], Song]] = [song_at, failing(error), song_at]
    reading = read_tunes(
        (Source(str(BOOK), str(number), 3), read) for number, read in enumerate(readers, start=1)
    )
    assert [song.source.tune for song in reading.songs] == ["1", "3"]
    (failure,) = reading.failures
    assert (failure.tune, failure.line, failure.reason) == ("2", line, reason)


def test_too_little_memory_ends_the_reading_of_the_file():
    with pytest.raises(MemoryError):
        read_tunes([(Source(str(BOOK)), failing(MemoryError()))])
