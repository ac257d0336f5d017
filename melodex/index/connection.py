"""Open a catalogue's file, and say in a sentence whatever SQLite has against it."""

import contextlib
import errno
import sqlite3
import time
from collections.abc import Generator
from pathlib import Path

from melodex.errors import CatalogueError
from melodex.index.schema import bring_up_to_date, version_of

# A file's songs are written within a second; a writer that waits longer waits for a stopped one.
LONGEST_WAIT_SECONDS = 30.0
_PAUSE_SECONDS = 0.01
# A song's notes are 1 to 4 KB. Measured on 12,720 songs of 70 notes: 42 MB, where pages of 4096
# bytes, which hold one song each, take 59 MB; no slower.
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
        "{path}, or the folder it is in, may not be written to, which even reading needs.",
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
_PRIMARY_CODE = 0xFF  # SQLite's extended codes carry details in the higher bits


@contextlib.contextmanager
def explained_errors(path: Path) -> Generator[None]:
    """Turn what SQLite and the system have against a catalogue's file into a CatalogueError."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_OK) & _PRIMARY_CODE
        if code not in _EXPLANATIONS:
            raise  # a mistake of ours, not of the file's
        problem, next_step = _EXPLANATIONS[code]
        raise CatalogueError(problem.format(path=path), next_step) from error
    except OSError as error:
        if error.errno == errno.ENOSPC:
            problem, next_step = _EXPLANATIONS[sqlite3.SQLITE_FULL]
            raise CatalogueError(problem.format(path=path), next_step) from error
        raise CatalogueError(
            f"{path} cannot be used: {error.strerror}.",
            "name another file with --catalogue or in MELODEX_CATALOGUE.",
        ) from error


def connect(path: Path, *, create: bool) -> sqlite3.Connection:
    """Open a catalogue's file and bring its tables up to date.

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
    with explained_errors(path):
        if path.is_dir():
            raise CatalogueError(
                f"{path} is a folder, where a catalogue is a file.",
                "name a file with --catalogue.",
            )
        if create:
            path.parent.mkdir(parents=True, exist_ok=True)
        elif not path.exists():
            raise _nothing_there(path)
        mode = "rwc" if create else "rw"
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}",
            uri=True,
            isolation_level=None,  # transactions are begun by hand
            timeout=LONGEST_WAIT_SECONDS,
        )
        try:
            _prepare(connection, path, create=create)
        except BaseException:
            connection.close()
            raise
    return connection


def _prepare(connection: sqlite3.Connection, path: Path, *, create: bool) -> None:
    if not version_of(connection, path):
        if not create:
            raise _nothing_there(path)
        connection.execute(f"PRAGMA page_size = {PAGE_SIZE}")
        _switch_to_wal(connection)
    # In WAL mode the file stays sound without waiting for the disk at every commit.
    connection.execute("PRAGMA synchronous = NORMAL")
    connection.execute("PRAGMA foreign_keys = ON")
    bring_up_to_date(connection, path)


def _switch_to_wal(connection: sqlite3.Connection) -> None:
    """Let readers and a writer work at the same time; the file remembers it.

    SQLite does not wait for its turn at this one step, so two processes that make the same
    catalogue wait here.
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


def _nothing_there(path: Path) -> CatalogueError:
    return CatalogueError(
        f"There is no catalogue at {path} yet.",
        "make one by adding music: melodex add FILE_OR_FOLDER",
    )
