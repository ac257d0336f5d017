"""File records: what was read from one file, ready to be written to the catalogue."""

import hashlib
import os
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple, Protocol

from melodex.features.as_played import count_played
from melodex.index.song_records import SongRecord, as_utf8, pack_song
from melodex.model.reading import Failure, Reading
from melodex.model.song import Song
from melodex.parsing.corpus_walk import MusicFile
from melodex.parsing.file_content import LARGEST_FILE

# Raise it whenever a reader comes to read the same bytes differently: files are then read again.
READER_VERSION = 3
_DIGEST_BYTES = 16
# Two songs are compared note by note: 6,000 with as many take half a gigabyte. The longest tune of
# the bundled books has 715, the longest part of the bundled scores measured 1,767.
MOST_NOTES_PLAYED = 6_000


class FileReader(Protocol):
    """Reads a file's songs; `melodex.parsing.formats.read_file` is one."""

    def __call__(self, path: Path, *, collection: str, shown_as: str) -> Reading:
        """Read the file at ``path``."""
        ...


class FileRecord(NamedTuple):
    """The songs of one file, packed, and the failures beside them."""

    songs: tuple[SongRecord, ...]
    failures: tuple[Failure, ...]


def record_file(read: FileReader, file: MusicFile) -> FileRecord:
    """Read a file and pack its songs; a file without any is a failure.

    Raises
    ------
    MemoryError
        If there is too little memory.
    """
    try:
        reading = read(file.path, collection=file.collection, shown_as=file.shown_as)
        songs, too_long = _packed(reading.songs, file)
    except MemoryError:
        raise  # the process that reads has come to its limit
    except Exception as error:  # noqa: BLE001 - a mistake in a reader must not cost other files
        return failed_record(file, f"its reader failed ({type(error).__name__}: {error})")
    failures = (*reading.failures, *too_long)
    if songs or failures:
        return FileRecord(songs, failures)
    return failed_record(file, "it holds no tunes")


def _packed(
    songs: Iterable[Song], file: MusicFile
) -> tuple[tuple[SongRecord, ...], tuple[Failure, ...]]:
    """Pack songs; one that is too long to be compared with others is a failure."""
    packed: list[SongRecord] = []
    failures: list[Failure] = []
    for song in songs:
        count = count_played(song.melody.onsets, song.sections)
        if count <= MOST_NOTES_PLAYED:
            packed.append(pack_song(song))
        else:
            reason = f"it has {count:,} notes as played, and {MOST_NOTES_PLAYED:,} are the most"
            name = song.source.tune or song.title
            failures.append(Failure(file.shown_as, name, song.source.line, reason))
    return tuple(packed), tuple(failures)


def failed_record(file: MusicFile, reason: str) -> FileRecord:
    """Record that a whole file could not be read."""
    return FileRecord((), (Failure(file=file.shown_as, tune="", line=None, reason=reason),))


def identity_of(file: MusicFile) -> str:
    """Return what identifies a file: its real path, or the name of a bundled one."""
    is_bundled = file.shown_as != str(file.path)
    # Path.resolve raises where links lead in a circle.
    return as_utf8(file.shown_as if is_bundled else os.path.realpath(file.path))


def size_of(file: MusicFile) -> int:
    """Return a file's size in bytes, 0 where it cannot be found out."""
    try:
        return file.path.stat().st_size
    except OSError:
        return 0


def digest_of(file: MusicFile) -> bytes | None:
    """Fingerprint all that a reading depends on; None where the file cannot be read."""
    start = hashlib.blake2b(
        f"{READER_VERSION} {file.collection}\n".encode(errors="backslashreplace"),
        digest_size=_DIGEST_BYTES,
    )
    try:
        # A pipe or a device would keep us waiting, and what is too large is not read either.
        if not file.path.is_file() or size_of(file) > LARGEST_FILE:
            return None
        with file.path.open("rb") as stream:
            return hashlib.file_digest(stream, start.copy).digest()
    except OSError:
        return None
