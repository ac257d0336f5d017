"""Copy a catalogue to a file while others use it."""

import contextlib
import sqlite3
from collections.abc import Callable
from pathlib import Path

from melodex.errors import CatalogueError
from melodex.index.connection import explained_errors
from melodex.index.schema import version_of
from melodex.index.store import Catalogue
from melodex.whole_files import written_whole

# Pages copied between two reports of progress; 16 MB.
_PAGES_AT_ONCE = 2_048
_BESIDE = ("-wal", "-shm")  # what SQLite keeps beside a file that is open


def back_up(catalogue: Catalogue, path: Path, progress: Callable[[int, int], None]) -> None:
    """Copy a catalogue, as it stands now, to a file that becomes a catalogue of its own.

    Others may read and write the catalogue meanwhile; the copy has one consistent state. It is
    checked before it takes the place of an earlier backup.

    Parameters
    ----------
    path : Path
        The file to write; an earlier backup of that name is replaced.
    progress : function
        Called with the pages copied and all pages.

    Raises
    ------
    CatalogueError
        If the file is the catalogue itself or is no catalogue, is in use, or cannot be written; if
        the catalogue is damaged.
    """
    _refuse_what_must_stay(catalogue, path)
    try:
        with written_whole(path) as part:
            _copy(catalogue, path, part, progress)
            _check(catalogue, part)
    except OSError as error:
        raise CatalogueError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error


def _check(catalogue: Catalogue, part: Path) -> None:
    uri = f"{part.absolute().as_uri()}?mode=ro&immutable=1"  # makes no files beside it
    with contextlib.closing(sqlite3.connect(uri, uri=True)) as copy:
        if copy.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
            raise CatalogueError(
                f"The catalogue {catalogue.path} is damaged, so it was not copied.",
                "see what is wrong: melodex check",
            )


def _copy(
    catalogue: Catalogue, path: Path, part: Path, progress: Callable[[int, int], None]
) -> None:
    def report(_status: int, remaining: int, pages: int) -> None:
        progress(pages - remaining, pages)

    with (
        catalogue.reading() as connection,
        contextlib.closing(sqlite3.connect(part, isolation_level=None)) as copy,
    ):
        # A copy that is interrupted is thrown away, so it needs no journal.
        copy.execute("PRAGMA journal_mode = OFF")
        # Within a transaction the state stays the same, so that a writer cannot make SQLite begin
        # again.
        connection.execute("BEGIN")
        try:
            connection.execute("SELECT melody_version FROM catalogue").fetchone()
            with explained_errors(path):  # a full disk is the copy's
                connection.backup(copy, pages=_PAGES_AT_ONCE, progress=report)
        finally:
            connection.execute("ROLLBACK")


def _refuse_what_must_stay(catalogue: Catalogue, path: Path) -> None:
    """Raise a CatalogueError if a file must not be replaced by a backup."""
    with explained_errors(path):
        if not path.exists():
            return
        if not path.is_file():
            raise CatalogueError(
                f"{path} is no ordinary file.", "name a file: melodex backup songs-backup.db"
            )
        if path.samefile(catalogue.path):
            raise CatalogueError(
                f"{path} is the catalogue itself.", "name another file, on another disk if you can."
            )
        if not _is_catalogue(path):
            raise CatalogueError(
                f"{path} exists and is not a melodex catalogue.",
                "name another file; this one has not been touched.",
            )
        if any(path.with_name(path.name + suffix).exists() for suffix in _BESIDE):
            raise CatalogueError(
                f"{path} is in use as a catalogue.", "close what uses it, or name another file."
            )


def _is_catalogue(path: Path) -> bool:
    """Return whether a file is a catalogue; SQLite tidies up what was left open."""
    try:
        with contextlib.closing(sqlite3.connect(path)) as connection:
            return version_of(connection, path) > 0
    except (sqlite3.DatabaseError, CatalogueError):
        return False
