"""Open a catalogue's file, and explain SQLite's errors in sentences."""

import contextlib
import errno
import os
import sqlite3
import time
from collections.abc import Generator, Iterable, Sequence
from pathlib import Path
from types import UnionType
from typing import TypeAlias

from melodex.errors import CatalogueError, MelodexError, ReadOnlyError
from melodex.index.schema import bring_up_to_date, has_own_tables, version_of

StoredType: TypeAlias = type | UnionType
"""What SQLite returns for a column: int, float, str, bytes or None."""

# Writing the songs of a file takes less than a second; a longer wait means a stopped writer.
LONGEST_WAIT_SECONDS = 30.0
_PAUSE_SECONDS = 0.01
# A song's notes take 1 to 4 KB. Measured on 12,720 songs of 70 notes: 42 MB; with pages of 4096
# bytes, which hold one song each, 59 MB. Speed is the same.
PAGE_SIZE = 8192  # bytes

_EXPLANATIONS = {
    sqlite3.SQLITE_FULL: (
        "The disk that holds {path} is full.",
        "free some space and run the same command again; what was written before is kept.",
    ),
    sqlite3.SQLITE_BUSY: (
        "Another program is writing to {path} and does not finish.",
        "wait until it is done, or stop it, and run the same command again.",
    ),
    sqlite3.SQLITE_READONLY: (
        "{path}, or the folder it is in, may not be written to.",
        "allow writing there, or copy the catalogue to a folder of your own.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "{path} cannot be opened; melodex may not be allowed to.",
        "allow reading and writing there, or name another file with --catalogue.",
    ),
    sqlite3.SQLITE_NOTADB: (
        "{path} is not a melodex catalogue.",
        "name another file with --catalogue; this one has not been touched.",
    ),
    sqlite3.SQLITE_CORRUPT: (
        "The catalogue {path} is damaged.",
        "restore a copy, or delete it and add your files again.",
    ),
    sqlite3.SQLITE_IOERR: (
        "The disk that holds {path} failed to read or write.",
        "check the disk and its free space, and run the same command again.",
    ),
}
# Exceptions raised when records are built from stored bytes that are not those written.
_DECODING_ERRORS = (
    MelodexError,
    ArithmeticError,
    AttributeError,
    LookupError,
    TypeError,
    ValueError,
)
_PRIMARY_CODE = 0xFF  # SQLite's extended codes carry details in the higher bits


@contextlib.contextmanager
def explained_errors(path: Path) -> Generator[None]:
    """Turn errors of SQLite and the operating system into a CatalogueError."""
    try:
        yield
    except sqlite3.Error as error:
        code = _code_of(error)
        if code in _EXPLANATIONS:
            raise _explained(path, code) from error
        if not _is_intact(path):
            raise damaged(path) from error
        raise  # a bug of ours, not a fault of the file
    except UnicodeDecodeError as error:  # Python could not even decode SQLite's message
        raise damaged(path) from error
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise _explained(path, sqlite3.SQLITE_FULL) from error
        raise CatalogueError(
            f"{path} cannot be used: {error.strerror}.",
            "name another file with --catalogue or in MELODEX_CATALOGUE.",
        ) from error


@contextlib.contextmanager
def damage_explained(path: Path, song_id: str = "") -> Generator[None]:
    """Turn exceptions caused by invalid stored data into a CatalogueError.

    Parameters
    ----------
    song_id : str
        The song whose notes are read, if it is a single song.
    """
    try:
        yield
    except CatalogueError:
        raise
    except _DECODING_ERRORS as error:
        raise damaged(path, song_id) from error


def damaged(path: Path, song_id: str = "") -> CatalogueError:
    """Return the error for a damaged catalogue, or for one damaged song in it."""
    if not song_id:
        return _explained(path, sqlite3.SQLITE_CORRUPT)
    return CatalogueError(
        f"The notes of the song {song_id!r} in the catalogue {path} are damaged.",
        "remove that song and add its file again; if that fails, restore a copy.",
    )


def check_types(rows: Iterable[Sequence[object]], types: Sequence[StoredType], path: Path) -> None:
    """Raise a CatalogueError if a column is not of the type it was stored with, if given."""
    for found in {tuple(map(type, row)) for row in rows}:
        if not all(map(issubclass, found, types)):
            raise damaged(path)


def _code_of(error: sqlite3.Error) -> int:
    """Return SQLite's primary code, or that of damage if Python could not decode a text."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    if code is None and isinstance(error, sqlite3.OperationalError):
        return sqlite3.SQLITE_CORRUPT
    return (code or sqlite3.SQLITE_OK) & _PRIMARY_CODE


def _is_intact(path: Path) -> bool:
    """Return whether SQLite finds a file intact, and its tables are ours."""
    try:
        uri = f"{path.absolute().as_uri()}?mode=ro"
        with contextlib.closing(sqlite3.connect(uri, uri=True)) as connection:
            in_order = connection.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",)
            return in_order and has_own_tables(connection)
    except (sqlite3.Error, UnicodeDecodeError):
        return False


def _explained(path: Path, code: int) -> CatalogueError:
    problem, next_step = _EXPLANATIONS[code]
    kind = ReadOnlyError if code == sqlite3.SQLITE_READONLY else CatalogueError
    return kind(problem.format(path=path), next_step)


def connect(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open a catalogue's file and bring its tables up to date.

    Parameters
    ----------
    path : Path
        The catalogue's file.
    create : bool
        Create the file and its folder if they are missing.

    Raises
    ------
    CatalogueError
        If the file is missing (unless ``create``), is not a catalogue, was written by a newer
        melodex, is damaged, or may not be opened.
    """
    with explained_errors(path):
        if path.exists():
            return _open_existing(path, create=create)
        if not create:
            raise _missing(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        return _open(path, "mode=rwc", create=True)


def _open_existing(path: Path, *, create: bool) -> sqlite3.Connection:
    if not path.is_file():
        kind = "a folder" if path.is_dir() else "no ordinary file"
        raise CatalogueError(
            f"{path} is {kind}, but a catalogue is a file.",
            "name a file with --catalogue.",
        )
    # Asking is safe; opening the file is not. On POSIX, closing any descriptor of a file gives up
    # all locks that this process has on it, also SQLite's of other threads, and other processes
    # then take a catalogue for closed that is in use.
    # Source: SQLite, "How To Corrupt An SQLite Database File", section 2.2 (from memory).
    as_this_user = os.access in os.supports_effective_ids
    if os.access(path, os.W_OK, effective_ids=as_this_user):
        try:
            return _open(path, "mode=rw", create=create)
        except sqlite3.OperationalError as error:
            # SQLite creates files beside it, but the folder may not be writable.
            if _code_of(error) not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY):
                raise
    return _open(path, _read_only(path), create=False)


def _open(path: Path, options: str, *, create: bool) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?{options}",
        uri=True,
        isolation_level=None,  # transactions are begun explicitly
        timeout=LONGEST_WAIT_SECONDS,
    )
    try:
        _prepare(connection, path, create=create)
    except BaseException:
        connection.close()
        raise
    return connection


def _read_only(path: Path) -> str:
    """Return SQLite's options for a catalogue that this user may only read.

    Readers and a writer share two files beside a catalogue, which a reader has to create if they
    are missing. A reader who may not do so has to assume that nobody is writing; if another user
    adds songs meanwhile, the catalogue may be reported as damaged until it is read again. If the
    files exist, somebody has the catalogue open or left it unfinished, and they are used.

    Source: the documentation of SQLite, "Write-Ahead Logging", section 5, read-only databases, and
    "Uniform Resource Identifiers", parameter immutable (from memory).
    """
    beside = (path.with_name(path.name + suffix) for suffix in ("-wal", "-shm"))
    return "mode=ro" if any(file.exists() for file in beside) else "mode=ro&immutable=1"


def _prepare(connection: sqlite3.Connection, path: Path, *, create: bool) -> None:
    if not version_of(connection, path):
        if not create:
            raise _missing(path)
        connection.execute(f"PRAGMA page_size = {PAGE_SIZE}")
        _switch_to_wal(connection)
    # In WAL mode the file stays consistent without a sync at every commit.
    connection.execute("PRAGMA synchronous = NORMAL")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.create_function("casefold", 1, _casefold, deterministic=True)
    with damage_explained(path):
        bring_up_to_date(connection, path)


def _casefold(value: bytes | str | float | None) -> bytes | str | float | None:
    return value.casefold() if isinstance(value, str) else value


def _switch_to_wal(connection: sqlite3.Connection) -> None:
    """Switch to WAL mode, which lets readers and a writer work at the same time.

    The mode is stored in the file. SQLite does not wait for locks at this step, so processes that
    create the same catalogue wait here.
    """
    deadline = time.monotonic() + LONGEST_WAIT_SECONDS
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > deadline:
                raise
            time.sleep(_PAUSE_SECONDS)
        else:
            return


def _missing(path: Path) -> CatalogueError:
    return CatalogueError(
        f"There is no catalogue at {path} yet.",
        "make one by adding music: melodex add FILE_OR_FOLDER",
    )
