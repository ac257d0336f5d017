"""Read and write songs as rows of the catalogue."""

import sqlite3
from typing import NamedTuple

from melodex.index.checksums import checksum
from melodex.index.song_records import PackedMelody, SongRecord

RECORD_COLUMNS = (
    *("title", "tune", "line", "collection", "key", "metre", "measure_count", "note_count"),
    *("measure_grid", "stated"),
    *PackedMelody._fields,
)
"""The columns of a record, its melody's laid out behind the others."""

_SELECT = f"""
    SELECT song.id, song.song, {", ".join(RECORD_COLUMNS)}
    FROM song
    JOIN file ON file.id = song.file
    JOIN melody ON melody.song = song.id
    JOIN score ON score.song = song.id
"""  # noqa: S608 - constants
_WRITE_SONG = """
    INSERT INTO song (id, song, file, place, title, tune, line, collection, key, metre,
        measure_count, note_count)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT (id) DO UPDATE SET place = excluded.place, title = excluded.title,
        tune = excluded.tune, line = excluded.line, collection = excluded.collection,
        key = excluded.key, metre = excluded.metre, measure_count = excluded.measure_count,
        note_count = excluded.note_count
"""
_LISTED = 8  # columns of a record in table ``song``
_MUSIC = slice(SongRecord._fields.index("key"), None)  # columns after those that identify a song


class StoredSong(NamedTuple):
    """A song as stored in the catalogue."""

    number: int
    song: str
    record: SongRecord


class SongPlace(NamedTuple):
    """The position of a song in the catalogue."""

    number: int | None  # None for a new song
    song: str
    file: int
    place: int  # in its file, from 0


def songs_of_file(connection: sqlite3.Connection, identity: str) -> list[StoredSong]:
    """Return the songs of a file, in order."""
    rows = connection.execute(f"{_SELECT} WHERE file.identity = ? ORDER BY place", (identity,))
    return [StoredSong(number, song, record_from(columns)) for number, song, *columns in rows]


def song_numbered(connection: sqlite3.Connection, number: int) -> StoredSong:
    """Return the song with a row number."""
    row = connection.execute(f"{_SELECT} WHERE song.id = ?", (number,)).fetchone()
    return StoredSong(row[0], row[1], record_from(row[2:]))


def write_names(connection: sqlite3.Connection, at: SongPlace, record: SongRecord) -> int:
    """Write the columns that lists show, and return the song's number."""
    cursor = connection.execute(_WRITE_SONG, (*at, *record[:_LISTED]))
    return int(cursor.lastrowid or 0) if at.number is None else at.number


def write_music(connection: sqlite3.Connection, number: int, record: SongRecord) -> None:
    """Write a song's measures, notes and other stated facts."""
    connection.execute(
        "INSERT OR REPLACE INTO score VALUES (?, ?, ?, ?)",
        (number, *record.score, checksum(record.score)),
    )
    connection.execute(
        "INSERT OR REPLACE INTO melody VALUES (?, ?, ?, ?, ?, ?, ?)",
        (number, *record.melody, checksum(record.melody)),
    )


def same_music(one: SongRecord, other: SongRecord) -> bool:
    """Return whether two songs have the same notes, key, metre and fingering."""
    return one[_MUSIC] == other[_MUSIC]


def record_from(columns: list[object] | tuple[object, ...]) -> SongRecord:
    """Return the record with the columns of RECORD_COLUMNS."""
    first = len(RECORD_COLUMNS) - len(PackedMelody._fields)
    return SongRecord._make((*columns[:first], PackedMelody._make(columns[first:])))
