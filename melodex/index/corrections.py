"""Corrections of misread songs, each stored with the song as it was read.

A correction is applied again when its file is read again, and is kept while its song is removed.
The song as read is stored with it, so that further corrections start there, and all can be undone.
"""

import json
import sqlite3
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from melodex.errors import QueryError
from melodex.index.checksums import checksum, verify
from melodex.index.connection import damage_explained
from melodex.index.intake.plain_records import fields_from_plain, to_plain
from melodex.index.schema import mark_melodies_changed
from melodex.index.song_names import song_number
from melodex.index.song_records import SongRecord, pack_song, unpack_song
from melodex.index.store import Catalogue
from melodex.index.stored_songs import (
    RECORD_COLUMNS,
    SongPlace,
    record_from,
    same_music,
    song_numbered,
    write_music,
    write_names,
)
from melodex.model.correction import Correction
from melodex.parsing.corrected_song import corrected_song

_COLUMNS = ", ".join(RECORD_COLUMNS)
_SELECT = f"SELECT id, song, correction, checksum, {_COLUMNS} FROM correction"  # noqa: S608
_WRITE = f"""
    INSERT OR REPLACE INTO correction (id, song, identity, correction, checksum, {_COLUMNS})
    VALUES ({", ".join("?" * (5 + len(RECORD_COLUMNS)))})
"""  # noqa: S608 - our own names


class KeptCorrection(NamedTuple):
    """A row of table ``correction``."""

    number: int | None  # None for a new one
    correction: Correction
    as_read: SongRecord


class CorrectionsOfFile:
    """The corrections of one file's songs, as of the time when this was created."""

    def __init__(self, connection: sqlite3.Connection, identity: str) -> None:
        self._of_song: dict[int, KeptCorrection] = {}
        self._waiting: list[KeptCorrection] = []  # of songs that are not in the catalogue
        query = f"{_SELECT} WHERE identity = ? ORDER BY id"
        for number, song, text, _, *columns in connection.execute(query, (identity,)):
            kept = KeptCorrection(number, _correction_from(text), record_from(columns))
            if song is None:
                self._waiting.append(kept)
            else:
                self._of_song[song] = kept

    def as_read(self, number: int, record: SongRecord) -> SongRecord:
        """Return a song of the catalogue as it was read."""
        return self._of_song[number].as_read if number in self._of_song else record

    def take(self, number: int | None, read: SongRecord) -> KeptCorrection | None:
        """Return the correction of a song in the catalogue, or one that waits for a new song."""
        if number is not None:
            return self._of_song.get(number)
        for kept in self._waiting:
            if (kept.as_read.tune, kept.as_read.title) == (read.tune, read.title):
                self._waiting.remove(kept)
                return kept
        return None


def corrected_record(read: SongRecord, kept: KeptCorrection | None) -> SongRecord:
    """Apply a correction to a song just read; if it no longer fits, add a remark."""
    if kept is None:
        return read
    song = unpack_song(read, file="")
    try:
        song = corrected_song(song, kept.correction)
    except QueryError as error:
        remark = f"Its correction no longer fits and was not applied: {error.problem}"
        song = replace(song, remarks=(*song.remarks, remark))
    return pack_song(song)


def keep_correction(
    connection: sqlite3.Connection, identity: str, number: int, kept: KeptCorrection
) -> None:
    """Store a correction with its song."""
    columns = (*kept.as_read[:-1], *kept.as_read.melody)
    stated = json.dumps(to_plain(kept.correction))
    row = (kept.number, number, identity, stated, checksum(_checked_columns(columns)), *columns)
    connection.execute(_WRITE, row)


def correct(catalogue: Catalogue, song_id: str, correction: Correction) -> None:
    """Correct a song, in addition to earlier corrections.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    QueryError
        If the correction does not fit the song.
    """
    with catalogue.writing() as connection:
        number = song_number(connection, song_id)
        kept = _kept(catalogue, connection, song_id, number)
        before = song_numbered(connection, number).record
        if kept is None:
            kept = KeptCorrection(None, Correction(), before)
        kept = kept._replace(correction=kept.correction.followed_by(correction))
        song = corrected_song(unpack_song(kept.as_read, file=""), kept.correction)
        _replace_song(connection, number, before, pack_song(song))
        query = "SELECT identity FROM file JOIN song ON song.file = file.id WHERE song.id = ?"
        (identity,) = connection.execute(query, (number,)).fetchone()
        keep_correction(connection, identity, number, kept)


def undo_corrections(catalogue: Catalogue, song_id: str) -> None:
    """Restore a song as it was read.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    QueryError
        If it has no corrections.
    """
    with catalogue.writing() as connection:
        number = song_number(connection, song_id)
        kept = _kept(catalogue, connection, song_id, number)
        if kept is None:
            raise QueryError(
                f"The song '{song_id}' has no corrections.", "there is nothing to undo."
            )
        before = song_numbered(connection, number).record
        _replace_song(connection, number, before, kept.as_read)
        connection.execute("DELETE FROM correction WHERE id = ?", (kept.number,))


def correction_of(catalogue: Catalogue, song_id: str) -> Correction:
    """Return the corrections of a song.

    Raises
    ------
    SongNotFoundError
        If no song has that id.
    """
    with catalogue.reading() as connection:
        kept = _kept(catalogue, connection, song_id, song_number(connection, song_id))
    return Correction() if kept is None else kept.correction


def _kept(
    catalogue: Catalogue, connection: sqlite3.Connection, song_id: str, number: int
) -> KeptCorrection | None:
    row = connection.execute(f"{_SELECT} WHERE song = ?", (number,)).fetchone()
    if row is None:
        return None
    key, _, text, stored, *columns = row
    with damage_explained(catalogue.path, song_id):
        verify(_checked_columns(columns), stored)
        return KeptCorrection(key, _correction_from(text), record_from(columns))


def check_corrections(catalogue: Catalogue) -> None:
    """Read every correction, also those that wait for their song.

    Raises
    ------
    CatalogueError
        If one is damaged.
    """
    with catalogue.reading() as connection, damage_explained(catalogue.path):
        for _, _, text, stored, *columns in connection.execute(_SELECT):
            verify(_checked_columns(columns), stored)
            unpack_song(record_from(columns), file="")
            _correction_from(text)


def _replace_song(
    connection: sqlite3.Connection, number: int, before: SongRecord, after: SongRecord
) -> None:
    query = "SELECT song, file, place FROM song WHERE id = ?"
    at = SongPlace(number, *connection.execute(query, (number,)).fetchone())
    write_names(connection, at, after)
    write_music(connection, number, after)
    if not same_music(before, after):
        mark_melodies_changed(connection)


def _checked_columns(columns: tuple[object, ...] | list[object]) -> list[bytes | str]:
    return [each if isinstance(each, bytes) else str(each) for each in columns]


def _correction_from(text: str) -> Correction:
    values: Mapping[str, object] = json.loads(text)
    return Correction(**fields_from_plain(values, Correction))
