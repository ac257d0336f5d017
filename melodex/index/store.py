"""The catalogue: one SQLite file that holds every song; open, read, write, close.

Listing songs loads no numpy; only the methods that return melodies do.
"""

import contextlib
import re
import sqlite3
from collections import defaultdict
from collections.abc import Generator, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from melodex.errors import CatalogueError, SongNotFoundError
from melodex.index.checksums import verify
from melodex.index.connection import (
    StoredType,
    check_types,
    connect,
    damage_explained,
    damaged,
    explained_errors,
)
from melodex.index.schema import mark_melodies_changed
from melodex.index.song_filters import Condition, condition_of
from melodex.index.song_names import song_named
from melodex.model.catalogue import EVERY_SONG, SongEntry, SongFilter
from melodex.model.description import TAGS, Description

if TYPE_CHECKING:
    from melodex._types import Beats
    from melodex.model.melody import Melody
    from melodex.model.song import Song

_ENTRIES = """
    SELECT song.id, song.song, song.title, song.collection, song.key, song.metre,
        song.measure_count, song.note_count, level.value, file.shown_as
    FROM song
    JOIN file ON file.id = song.file
    LEFT JOIN fact AS level ON level.song = song.id AND level.name = 'level'
"""
_TAGS = "SELECT song, value FROM fact WHERE name = 'tags' ORDER BY song, place"
_SONG = """
    SELECT title, tune, line, collection, key, metre, measure_count, note_count, measure_grid,
        stated, melody.notes, phrase_ends, chord_tones, grace_notes, sections, shown_as,
        melody.checksum, score.checksum
    FROM song
    JOIN melody ON melody.song = song.id
    JOIN score ON score.song = song.id
    JOIN file ON file.id = song.file
    WHERE song.id = ?
"""
_MELODIES = """
    SELECT song.song, key, notes, phrase_ends, chord_tones, grace_notes, sections, checksum
    FROM song JOIN melody ON melody.song = song.id ORDER BY song.song
"""

# The types that SQLite returns for each column; other ones mean damage.
_ENTRY_TYPES = (int, str, str, str, str | None, str, int, int, float | int | None, str)
_STATE = re.compile("[0-9a-f]{32}")


class Catalogue:
    """An open catalogue; `open_catalogue` makes one. Close it, or use it in a ``with`` block.

    Every method may raise a CatalogueError: the disk fails or is full, the file is damaged, or
    another program keeps it locked.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self._path = path
        self._connection = connection
        self._is_open = True

    @property
    def path(self) -> Path:
        """The catalogue's file."""
        return self._path

    def close(self) -> None:
        """Release the file."""
        self._is_open = False
        self._connection.close()

    def __enter__(self) -> "Catalogue":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextlib.contextmanager
    def writing(self) -> Generator[sqlite3.Connection]:
        """Write within one transaction, which an error or Ctrl-C takes back as a whole."""
        with self.reading() as connection, connection:
            connection.execute("BEGIN IMMEDIATE")
            yield connection

    @contextlib.contextmanager
    def reading(self) -> Generator[sqlite3.Connection]:
        """Read by plain SQL; `writing` is for whoever changes something."""
        if not self._is_open:
            raise CatalogueError(f"The catalogue {self._path} has been closed.", "open it again.")
        with explained_errors(self._path):
            yield self._connection

    def song_ids(self, which: SongFilter = EVERY_SONG) -> list[str]:
        """List song ids, sorted ascending."""
        condition = self._condition_of(which)
        query = f"SELECT song FROM song WHERE {condition.text} ORDER BY song"  # noqa: S608 - our own
        return [song for (song,) in self._rows(query, condition.values, types=(str,))]

    def entries(self, which: SongFilter = EVERY_SONG) -> list[SongEntry]:
        """List what is known about songs without their notes, ordered by id."""
        condition = self._condition_of(which)
        query = f"{_ENTRIES} WHERE {condition.text} ORDER BY song.song"
        tags: defaultdict[int, list[str]] = defaultdict(list)
        for number, tag in self._rows(_TAGS, types=(int, str)):
            tags[number].append(tag)
        rows = self._rows(query, condition.values, types=_ENTRY_TYPES)
        return [_entry_of(row, tags.get(row[0], ())) for row in rows]

    def entry(self, song_id: str) -> SongEntry:
        """Return what is known about one song without its notes.

        Raises
        ------
        SongNotFoundError
            If no song has that id.
        """
        number = self._number_of(song_id)
        row = self._one_row(f"{_ENTRIES} WHERE song.id = ?", (number,), types=_ENTRY_TYPES)
        return _entry_of(row, map(str, self.facts(song_id).get(TAGS, ())))

    def facts(self, song_id: str) -> dict[str, tuple[float | str, ...]]:
        """Return everything that was described of a song, by the fact's name.

        Raises
        ------
        SongNotFoundError
            If no song has that id.
        """
        facts: dict[str, tuple[float | str, ...]] = {}
        query = "SELECT name, value FROM fact WHERE song = ? ORDER BY name, place"
        number = self._number_of(song_id)
        for name, value in self._rows(query, (number,), types=(str, str | float | int)):
            facts[name] = (*facts.get(name, ()), value)
        return facts

    def resolve(self, name: str) -> str:
        """Return the id of the song that a name means: an id, a title or a part of one.

        Raises
        ------
        SongNotFoundError
            If no song or more than one answers to the name; it lists the candidates.
        """
        if self._rows("SELECT 1 FROM song WHERE song = ?", (name.strip(),)):
            return name.strip()  # an id; titles need not be read
        return song_named(name, self.titles())

    def titles(self) -> list[tuple[str, str]]:
        """List every song's id and title, ordered by id."""
        return self._rows("SELECT song, title FROM song ORDER BY song", types=(str, str))

    def song(self, song_id: str) -> "Song":
        """Return a song with all that its source says.

        Raises
        ------
        SongNotFoundError
            If no song has that id.
        """
        from melodex.index.song_records import PackedMelody, SongRecord, unpack_song

        row = self._one_row(_SONG, (self._number_of(song_id),))
        *columns, file, melody_checksum, score_checksum = row
        record = SongRecord._make((*columns[:10], PackedMelody._make(columns[10:])))
        with damage_explained(self._path, song_id):
            verify(record.melody, melody_checksum)
            verify(record.score, score_checksum)
            return unpack_song(record, file=file)

    def melodies(self) -> Iterator[tuple[str, "Melody", "Beats", str | None]]:
        """Yield every song's id, melody, sections and key, ordered by id, all of one moment.

        Sections have shape (n_sections, 2): stretches of quarter notes in the order played.
        """
        from melodex.index.song_records import PackedMelody, unpack_melody

        with self.reading() as connection:
            for song_id, key, *columns, checksum in connection.execute(_MELODIES):
                with damage_explained(self._path, song_id):
                    verify(columns, checksum)
                    melody, sections = unpack_melody(PackedMelody._make(columns))
                yield song_id, melody, sections, key if isinstance(key, str) else None

    def melody_version(self) -> str:
        """Return a token for the present state of all melodies.

        Whenever a melody is added, changed or removed the token becomes one that no other state
        of any catalogue has; what is derived from the melodies is stale when it bears another.
        """
        (state,) = self._one_row("SELECT melody_version FROM catalogue", types=(str,))
        if not _STATE.fullmatch(state):
            raise damaged(self._path)
        return str(state)

    def remove(self, song_id: str) -> None:
        """Take a song out, with all that was described of it.

        Its file, when added again, is read again and brings the song back.

        Raises
        ------
        SongNotFoundError
            If no song has that id.
        """
        number = self._number_of(song_id)
        with self.writing() as connection:
            connection.execute(
                "UPDATE file SET digest = NULL WHERE id = (SELECT file FROM song WHERE id = ?)",
                (number,),
            )
            connection.execute("DELETE FROM song WHERE id = ?", (number,))
            mark_melodies_changed(connection)

    def describe(self, descriptions: Iterable[Description]) -> None:
        """Set facts of songs, all or none; facts that a description does not name stay.

        Raises
        ------
        SongNotFoundError
            If a description names a song by anything but its id.
        """
        with self.writing() as connection:
            for description in descriptions:
                number = self._number_of(description.song)
                for name, values in description.facts.items():
                    connection.execute(
                        "DELETE FROM fact WHERE song = ? AND name = ?", (number, name)
                    )
                    connection.executemany(
                        "INSERT INTO fact VALUES (?, ?, ?, ?)",
                        [(number, name, place, value) for place, value in enumerate(values)],
                    )

    def _condition_of(self, which: SongFilter) -> Condition:
        from melodex.index.estimates import lay_out_estimates

        lay_out_estimates(self, which)
        return condition_of(which)

    def _number_of(self, song_id: str) -> int:
        rows = self._rows("SELECT id FROM song WHERE song = ?", (song_id,))
        if not rows:
            raise SongNotFoundError(
                f"No song has the id {song_id!r}.", "look it up in the list of songs."
            )
        return int(rows[0][0])

    def _one_row(
        self, query: str, values: Sequence[float | str] = (), *, types: Sequence[StoredType] = ()
    ) -> Any:  # noqa: ANN401 - what the query selects
        rows = self._rows(query, values, types=types)
        if len(rows) != 1:
            raise damaged(self._path)
        return rows[0]

    def _rows(
        self, query: str, values: Sequence[float | str] = (), *, types: Sequence[StoredType] = ()
    ) -> list[Any]:
        with self.reading() as connection:
            rows = connection.execute(query, values).fetchall()
        check_types(rows, types, self._path)
        return rows


def _entry_of(row: Sequence[Any], tags: Iterable[str]) -> SongEntry:
    _, *listed, file = row
    columns: tuple[Any, ...] = (*listed, tuple(tags), file)
    return SongEntry(*columns)


def open_catalogue(path: Path, *, create: bool = False) -> Catalogue:
    """Open a catalogue, bringing the file of an older melodex up to date.

    Parameters
    ----------
    path : Path
        The catalogue's file.
    create : bool
        Make the file, and the folder it is to be in, where they are missing.

    Raises
    ------
    CatalogueError
        If the file is missing (unless ``create``), is no catalogue, was written by a newer
        melodex, is damaged, or may not be opened.
    """
    return Catalogue(path, connect(path, create=create))
