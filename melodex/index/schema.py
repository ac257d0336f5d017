"""The catalogue's tables, their version number, and the migrations between versions."""

import contextlib
import json
import secrets
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeAlias

from melodex.errors import CatalogueError
from melodex.index.checksums import checksum

# Distinguishes our files from other SQLite databases: "mldx" in ASCII.
APPLICATION_ID = 0x6D6C6478

Migration: TypeAlias = Callable[[sqlite3.Connection], None]
"""A migration: alters the tables within a transaction that its caller opens and commits."""

_FIRST_TABLES = (
    # One row. The token is replaced by a new random one whenever a melody is added, changed or
    # removed.
    "CREATE TABLE catalogue (melody_version TEXT NOT NULL)",
    # `identity` is the resolved path, or the name of a bundled file. `digest` is a hash of the
    # bytes that were read; without one the file is read again whenever it is added.
    """CREATE TABLE file (
        id INTEGER PRIMARY KEY,
        identity TEXT NOT NULL UNIQUE,
        shown_as TEXT NOT NULL,
        digest BLOB,
        failures TEXT NOT NULL
    )""",
    """CREATE TABLE song (
        id INTEGER PRIMARY KEY,
        song TEXT NOT NULL UNIQUE,
        file INTEGER NOT NULL REFERENCES file ON DELETE CASCADE,
        place INTEGER NOT NULL,
        title TEXT NOT NULL,
        tune TEXT NOT NULL,
        line INTEGER,
        collection TEXT NOT NULL,
        key TEXT,
        metre TEXT NOT NULL,
        measure_count INTEGER NOT NULL,
        note_count INTEGER NOT NULL
    )""",
    "CREATE INDEX song_of_file ON song (file, place)",
    # Packed arrays, laid out in song_records.py; separate from `song`, so that lists stay fast.
    """CREATE TABLE melody (
        song INTEGER PRIMARY KEY REFERENCES song ON DELETE CASCADE,
        notes BLOB NOT NULL,
        phrase_ends BLOB NOT NULL,
        chord_tones BLOB NOT NULL,
        grace_notes BLOB NOT NULL,
        sections BLOB NOT NULL
    )""",
    """CREATE TABLE score (
        song INTEGER PRIMARY KEY REFERENCES song ON DELETE CASCADE,
        measure_grid BLOB NOT NULL,
        stated TEXT NOT NULL
    )""",
    # Facts from a CSV: a level (number), tags, or any other text; one row for each value.
    """CREATE TABLE fact (
        song INTEGER NOT NULL REFERENCES song ON DELETE CASCADE,
        name TEXT NOT NULL,
        place INTEGER NOT NULL,
        value NOT NULL,
        PRIMARY KEY (song, name, place)
    ) WITHOUT ROWID""",
)

# Licks stored under the user's name, or as numbered in the last list of recurring licks.
_LICK_TABLES = tuple(
    f"""CREATE TABLE {table} (
        {key} PRIMARY KEY,
        name TEXT NOT NULL,
        came_from TEXT NOT NULL,
        metre TEXT NOT NULL,
        notes BLOB NOT NULL,
        phrase_ends BLOB NOT NULL,
        chord_tones BLOB NOT NULL,
        grace_notes BLOB NOT NULL,
        sections BLOB NOT NULL
    )"""
    for table, key in (("kept_lick", "folded_name TEXT"), ("listed_lick", "number INTEGER"))
)
# Work saved under a name in the browser. `before` allows undoing the last change. `evaluation` of a
# plan is JSON; `evaluated` identifies its inputs: the plan, the student and the melodies.
_SAVED_WORK_TABLE = """CREATE TABLE saved_work (
    work TEXT PRIMARY KEY,
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    folded_name TEXT NOT NULL,
    content TEXT NOT NULL,
    created TEXT NOT NULL,
    changed TEXT NOT NULL,
    before TEXT,
    student TEXT NOT NULL,
    evaluation TEXT,
    evaluated TEXT,
    UNIQUE (kind, folded_name)
)"""
# A teacher's corrections of a song: `identity` is its file, `tune` and `title` are as read there,
# `stated` is a JSON object of the corrections. It stays for when the file is read again.
_CORRECTION_TABLE = """CREATE TABLE correction (
    identity TEXT NOT NULL,
    tune TEXT NOT NULL,
    title TEXT NOT NULL,
    stated TEXT NOT NULL,
    PRIMARY KEY (identity, tune, title)
) WITHOUT ROWID"""
# Replaces the table above: `correction` is a JSON object of the corrections, and the columns from
# `title` on are the song as it was read, laid out like the other tables.
_CORRECTION_WITH_SONG = (
    "DROP TABLE correction",
    """CREATE TABLE correction (
        id INTEGER PRIMARY KEY,
        song INTEGER UNIQUE REFERENCES song ON DELETE SET NULL,
        identity TEXT NOT NULL,
        correction TEXT NOT NULL,
        checksum BLOB NOT NULL,
        title TEXT NOT NULL,
        tune TEXT NOT NULL,
        line INTEGER,
        collection TEXT NOT NULL,
        key TEXT,
        metre TEXT NOT NULL,
        measure_count INTEGER NOT NULL,
        note_count INTEGER NOT NULL,
        measure_grid BLOB NOT NULL,
        stated TEXT NOT NULL,
        notes BLOB NOT NULL,
        phrase_ends BLOB NOT NULL,
        chord_tones BLOB NOT NULL,
        grace_notes BLOB NOT NULL,
        sections BLOB NOT NULL
    )""",
    "CREATE INDEX correction_of_file ON correction (identity)",
)
# The columns covered by the checksum of each table.
_CHECKED_COLUMNS = {
    "melody": "notes, phrase_ends, chord_tones, grace_notes, sections",
    "score": "measure_grid, stated",
}

# A single statement sees a consistent state, even if another process is creating the catalogue.
_MARKS = """
    SELECT application_id, user_version, (SELECT count(*) FROM sqlite_master)
    FROM pragma_application_id, pragma_user_version
"""


def mark_melodies_changed(connection: sqlite3.Connection) -> None:
    """Set a version of the catalogue's melodies that no other state of any catalogue has."""
    connection.execute("UPDATE catalogue SET melody_version = ?", (secrets.token_hex(16),))


def _create_first_tables(connection: sqlite3.Connection) -> None:
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for statement in _FIRST_TABLES:
        connection.execute(statement)
    connection.execute("INSERT INTO catalogue VALUES (?)", (secrets.token_hex(16),))


def _create_lick_tables(connection: sqlite3.Connection) -> None:
    for statement in _LICK_TABLES:
        connection.execute(statement)


def _add_checksums(connection: sqlite3.Connection) -> None:
    for table, columns in _CHECKED_COLUMNS.items():
        connection.execute(f"ALTER TABLE {table} ADD COLUMN checksum BLOB NOT NULL DEFAULT x''")
        rows = connection.execute(f"SELECT song, {columns} FROM {table}").fetchall()  # noqa: S608
        connection.executemany(
            f"UPDATE {table} SET checksum = ? WHERE song = ?",  # noqa: S608 - constants
            [(checksum(row[1:]), row[0]) for row in rows],
        )


def _add_strings_to_touches(connection: sqlite3.Connection) -> None:
    """Add to each touch its string; until then touches only referred to the melody note."""
    rows = connection.execute(
        "SELECT song, measure_grid, stated, notes FROM score JOIN melody USING (song)"
    ).fetchall()
    for song, measure_grid, stated, notes in rows:
        facts = json.loads(stated)
        if not facts.get("touches"):
            continue
        for touch in facts["touches"]:
            place = _BYTES_OF_A_NOTE * touch["note"] + _BYTES_BEFORE_ITS_STRING
            touch["string"] = notes[place] if place < len(notes) else 0
        stated = json.dumps(facts)
        connection.execute(
            "UPDATE score SET stated = ?, checksum = ? WHERE song = ?",
            (stated, checksum((measure_grid, stated)), song),
        )


# Layout of table ``melody`` at the time when touches had no strings.
_BYTES_OF_A_NOTE, _BYTES_BEFORE_ITS_STRING = 32, 30


def _add_facts_to_licks(connection: sqlite3.Connection) -> None:
    """Add to licks a JSON object of facts other than their melody."""
    for table in ("kept_lick", "listed_lick"):
        connection.execute(f"ALTER TABLE {table} ADD COLUMN stated TEXT NOT NULL DEFAULT '{{}}'")


def _create_saved_work_tables(connection: sqlite3.Connection) -> None:
    connection.execute(_SAVED_WORK_TABLE)
    connection.execute(_CORRECTION_TABLE)


def _store_songs_with_corrections(connection: sqlite3.Connection) -> None:
    for statement in _CORRECTION_WITH_SONG:
        connection.execute(statement)


MIGRATIONS: tuple[Migration, ...] = (
    _create_first_tables,
    _create_lick_tables,
    _add_checksums,
    _add_strings_to_touches,
    _add_facts_to_licks,
    _create_saved_work_tables,
    _store_songs_with_corrections,
)
"""Migration n turns version n into n + 1; an empty file is version 0. Only ever append."""


def version_of(connection: sqlite3.Connection, path: Path) -> int:
    """Return a catalogue's version, 0 for an empty file.

    Raises
    ------
    CatalogueError
        If the file is another program's database, or damaged.
    """
    application, version, tables = connection.execute(_MARKS).fetchone()
    if application == APPLICATION_ID and version < 0:
        raise CatalogueError(
            f"The catalogue {path} is damaged: it has version {version}.",
            "restore a copy, or delete it and add your files again.",
        )
    if application == APPLICATION_ID:
        return int(version)
    if application or version or tables:
        raise CatalogueError(
            f"{path} is a database of another program, not a melodex catalogue.",
            "name another file with --catalogue; this one has not been touched.",
        )
    return 0


def has_own_tables(connection: sqlite3.Connection) -> bool:
    """Return whether a catalogue's tables are exactly those of a new catalogue."""
    with contextlib.closing(sqlite3.connect(":memory:")) as model:
        for migration in MIGRATIONS:
            migration(model)
        query = "SELECT type, name, sql FROM sqlite_master ORDER BY type, name"
        return connection.execute(query).fetchall() == model.execute(query).fetchall()


def bring_up_to_date(
    connection: sqlite3.Connection, path: Path, migrations: Sequence[Migration] = MIGRATIONS
) -> None:
    """Migrate a catalogue to the newest version, each step in its own transaction.

    Raises
    ------
    CatalogueError
        If a newer melodex wrote the catalogue, or the file belongs to another program.
    """
    version = version_of(connection, path)
    if version > len(migrations):
        raise CatalogueError(
            f"The catalogue {path} has version {version}, newer than this melodex, which knows "
            f"versions up to {len(migrations)}.",
            "install the newest melodex, or name another file with --catalogue.",
        )
    for step in range(version, len(migrations)):
        _migrate(connection, path, step, migrations[step])


def _migrate(connection: sqlite3.Connection, path: Path, step: int, migration: Migration) -> None:
    with connection:  # commits, or rolls back
        connection.execute("BEGIN IMMEDIATE")
        # Another process may have done this step while we waited for the lock.
        if version_of(connection, path) == step:
            try:
                migration(connection)
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode != sqlite3.SQLITE_ERROR:
                    raise
                raise CatalogueError(
                    f"The catalogue {path} is damaged: its tables are not those of version {step}, "
                    "which it claims to have.",
                    "restore a copy, or delete it and add your files again.",
                ) from error
            connection.execute(f"PRAGMA user_version = {step + 1}")
