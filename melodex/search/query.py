"""What is asked: the lick, however it was given."""

import re
from itertools import takewhile
from pathlib import Path

import numpy as np

from melodex._types import NoteNumbers
from melodex.errors import QueryError, ScoreParseError
from melodex.index.store import Catalogue
from melodex.model.lick import FEWEST_NOTES, Lick
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.song import Song

_FIELD = re.compile(r"[A-Za-z]:")


def lick_from_abc(text: str) -> Lick:
    """Read a lick in ABC 2.1; header fields may be left out ("DEG2 B>A" is read in C, eighths).

    Raises
    ------
    QueryError
        If the text cannot be read or holds no melody.
    """
    from melodex.parsing.abc.abc_reader import read_abc  # most searches need no reader

    lines = text.strip().splitlines()
    header = list(takewhile(_FIELD.match, lines))
    music = lines[len(header) :]
    if not any(line.startswith("X:") for line in header):
        header.insert(0, "X:1")
    if not any(line.startswith("K:") for line in header):
        header.append("K:C")
    reading = read_abc("\n".join([*header, *music]), "")
    for failure in reading.failures:
        raise QueryError(
            f"The ABC text cannot be read: {failure.reason}.",
            "correct it; notes alone are enough: DEG2 BAGE.",
        )
    song, *others = reading.songs
    if others:
        raise QueryError(
            f"The ABC text holds {len(reading.songs)} tunes, and a lick is one.",
            "give the notes of one tune.",
        )
    return _lick_of_whole(song, came_from=text.strip())


def lick_from_file(path: Path) -> Lick:
    """Read a lick from a file that holds one tune.

    Raises
    ------
    ScoreParseError
        If the file cannot be read.
    QueryError
        If it holds several tunes.
    """
    from melodex.parsing.formats import read_file

    reading = read_file(path)
    songs = list(reading.songs)
    if len(songs) == 1:
        return _lick_of_whole(songs[0], came_from=str(path))
    if songs:
        raise QueryError(
            f"{path} holds {len(songs)} tunes, and a lick is one.",
            "add the file, then cut the lick from a song: --from SONG --measures A-B.",
        )
    failure = reading.failures[0]
    raise ScoreParseError(
        path,
        reason=failure.reason,
        tune=failure.tune,
        line=failure.line,
        next_step="mend the file, or give the lick as text.",
    )


def lick_from_song(catalogue: Catalogue, song: str, *, measures: tuple[int, int]) -> Lick:
    """Cut a lick from a song, from one measure to another as written, both included.

    Parameters
    ----------
    song : str
        A song's id or an unambiguous part of its title.
    measures : (int, int)
        First and last; a pickup is measure 0.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    QueryError
        If the song has no two notes there.
    """
    song_id = catalogue.resolve(song)
    whole = catalogue.song(song_id)
    first, last = measures
    numbers = whole.melody.measures
    chosen = np.flatnonzero((numbers >= first) & (numbers <= last)).astype(np.int32)
    if len(chosen) < FEWEST_NOTES:
        raise QueryError(
            f"{whole.title} has {len(chosen)} notes in measures {first} to {last}; "
            f"its notes stand in measures {numbers.min()} to {numbers.max()}.",
            "choose measures that hold two notes or more.",
        )
    came_from = f"{whole.title}, measures {first}-{last}"
    return _lick_of_notes(whole, chosen, came_from=came_from)


def _lick_of_whole(song: Song, *, came_from: str) -> Lick:
    every_note = np.arange(len(song.melody), dtype=np.int32)
    return _lick_of_notes(song, every_note, came_from=came_from)


def _lick_of_notes(song: Song, notes: NoteNumbers, *, came_from: str) -> Lick:
    whole = song.melody
    melody = Melody(
        pitches=whole.pitches[notes],
        onsets=whole.onsets[notes],
        durations=whole.durations[notes],
        measures=whole.measures[notes],
        beat_strengths=whole.beat_strengths[notes],
        strings=whole.strings[notes],
        frets=whole.frets[notes],
        phrase_ends=np.empty(0, np.int32),
    )
    return Lick(melody, came_from, _metre_at(song, float(melody.onsets[0])))


def _metre_at(song: Song, onset: float) -> Metre:
    metre = song.metre
    for change in song.metre_changes:
        if change.onset <= onset:
            metre = change.metre
    return metre
