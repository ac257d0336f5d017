"""File a record: put what was read from a file in place of what was read from it before."""

import json
import sqlite3
from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import replace
from operator import attrgetter
from typing import NamedTuple

from melodex.index.corrections import (
    CorrectionsOfFile,
    KeptCorrection,
    corrected_record,
    keep_correction,
)
from melodex.index.intake.file_records import FileRecord, identity_of
from melodex.index.intake.plain_records import from_plain, to_plain
from melodex.index.schema import mark_melodies_changed
from melodex.index.song_ids import SongIds
from melodex.index.song_records import SongRecord, as_utf8
from melodex.index.stored_songs import (
    SongPlace,
    StoredSong,
    same_music,
    songs_of_file,
    write_music,
    write_names,
)
from melodex.model.reading import Failure
from melodex.model.results.addition import AddReport, Remark
from melodex.parsing.corpus_walk import MusicFile

# How a song of a changed file is known again, the surest way first: as it was; renumbered; with
# corrected notes; with a corrected title; renumbered and corrected.
_SIGNS = tuple(
    attrgetter(*names)
    for names in (
        ("title", "melody", "tune"),
        ("title", "melody"),
        ("title", "tune"),
        ("melody",),
        ("title",),
    )
)
_WRITE_FILE = """
    INSERT INTO file (identity, shown_as, digest, failures) VALUES (?, ?, ?, ?)
    ON CONFLICT (identity) DO UPDATE SET shown_as = excluded.shown_as, digest = excluded.digest,
        failures = excluded.failures
"""


class _Read(NamedTuple):
    """A song as it was just read, and how it is filed."""

    read: SongRecord
    kept: KeptCorrection | None
    record: SongRecord  # as read, or corrected
    old: StoredSong | None


class _Comparison(NamedTuple):
    """A file's songs, beside those that the catalogue holds, all as they were read."""

    pairs: list[tuple[SongRecord, StoredSong | None]]
    gone: list[StoredSong]
    failed_again: list[StoredSong]  # their new reading failed, so the one before stays


def known_report(
    connection: sqlite3.Connection, file: MusicFile, digest: bytes | None
) -> AddReport | None:
    """Report a file that was read before with the same digest; None for any other file."""
    if digest is None:
        return None
    row = connection.execute(
        "SELECT id, failures FROM file WHERE identity = ? AND digest = ?",
        (identity_of(file), digest),
    ).fetchone()
    if row is None:
        return None
    count = "SELECT count(*) FROM song WHERE file = ?"
    (songs,) = connection.execute(count, (row[0],)).fetchone()
    failures: tuple[Failure, ...] = from_plain(json.loads(row[1]), tuple[Failure, ...])
    return AddReport(unchanged=songs, failed=failures)


def file_record(
    connection: sqlite3.Connection, file: MusicFile, digest: bytes | None, record: FileRecord
) -> AddReport:
    """Write what was read from a file, within the caller's transaction.

    A song known from the file's earlier reading keeps its id, what was described of it and what was
    corrected. Songs that failed this time stay as they were; those that are no longer in the file
    are removed.
    """
    # Another process may have filed the same reading meanwhile.
    if report := known_report(connection, file, digest):
        return report
    stored = songs_of_file(connection, identity_of(file))
    if not record.songs and not stored:
        return AddReport(failed=record.failures)
    corrections = CorrectionsOfFile(connection, identity_of(file))
    comparison = _compare(
        [song._replace(record=corrections.as_read(song.number, song.record)) for song in stored],
        record,
    )
    failures = _failures(comparison, record)
    # Without a digest a file of which nothing could be read is tried again next time.
    number = _write_file(connection, file, digest if record.songs else None, failures)
    connection.executemany(
        "DELETE FROM song WHERE id = ?", [(song.number,) for song in comparison.gone]
    )
    songs = _corrected(comparison, corrections, {song.number: song for song in stored})
    report = _write_songs(connection, file, number, songs)
    if comparison.gone or _music_differs(songs):
        mark_melodies_changed(connection)
    return report + AddReport(
        unchanged=len(comparison.failed_again), removed=len(comparison.gone), failed=failures
    )


def match_songs(
    records: Sequence[SongRecord], stored: Sequence[StoredSong]
) -> list[StoredSong | None]:
    """Find for each song read the stored one that it is, each taken at most once."""
    matches: list[StoredSong | None] = [None] * len(records)
    left = list(stored)
    for sign in _SIGNS:
        by_sign: defaultdict[object, deque[StoredSong]] = defaultdict(deque)
        for song in left:
            by_sign[sign(song.record)].append(song)
        for place, record in enumerate(records):
            if matches[place] is None and (alike := by_sign.get(sign(record))):
                matches[place] = alike.popleft()
        taken = {song.number for song in matches if song}
        left = [song for song in left if song.number not in taken]
    return matches


def _compare(stored: Sequence[StoredSong], record: FileRecord) -> _Comparison:
    if record.songs:
        failed = {failure.tune for failure in record.failures} - {""}
        failed -= {song.tune for song in record.songs}
        failed_again = [song for song in stored if failed & {song.record.tune, song.record.title}]
    else:
        failed_again = list(stored)
    set_aside = {song.number for song in failed_again}
    others = [song for song in stored if song.number not in set_aside]
    matches = match_songs(record.songs, others)
    matched = {song.number for song in matches if song}
    return _Comparison(
        pairs=list(zip(record.songs, matches, strict=True)),
        gone=[song for song in others if song.number not in matched],
        failed_again=failed_again,
    )


def _failures(comparison: _Comparison, record: FileRecord) -> tuple[Failure, ...]:
    """Add to each failure that the songs read before are kept, where they are."""
    kept = {song.record.tune for song in comparison.failed_again}
    kept |= {song.record.title for song in comparison.failed_again}
    return tuple(
        replace(failure, reason=f"{failure.reason}; what was read there before is kept")
        if failure.tune in kept or (kept and not record.songs)
        else failure
        for failure in record.failures
    )


def _write_file(
    connection: sqlite3.Connection,
    file: MusicFile,
    digest: bytes | None,
    failures: tuple[Failure, ...],
) -> int:
    identity = identity_of(file)
    shown_as = as_utf8(file.shown_as)
    connection.execute(_WRITE_FILE, (identity, shown_as, digest, json.dumps(to_plain(failures))))
    row = connection.execute("SELECT id FROM file WHERE identity = ?", (identity,)).fetchone()
    return int(row[0])


def _corrected(
    comparison: _Comparison, corrections: CorrectionsOfFile, stored: Mapping[int, StoredSong]
) -> list[_Read]:
    """Return the songs that were read, each with its correction and what stands of it now."""
    songs: list[_Read] = []
    for read, match in comparison.pairs:
        kept = corrections.take(match.number if match else None, read)
        old = stored[match.number] if match else None
        songs.append(_Read(read, kept, corrected_record(read, kept), old))
    return songs


def _write_songs(
    connection: sqlite3.Connection, file: MusicFile, file_number: int, songs: Sequence[_Read]
) -> AddReport:
    ids = SongIds(connection)
    counts: Counter[str] = Counter()
    remarks: list[Remark] = []
    for place, (read, kept, record, old) in enumerate(songs):
        song_id = old.song if old else ids.give(record.title)
        at = SongPlace(old.number if old else None, song_id, file_number, place)
        number = write_names(connection, at, record)
        if kept:
            keep_correction(connection, identity_of(file), number, kept._replace(as_read=read))
        if old and _same_content(record, old.record):
            counts["unchanged"] += 1
            continue
        counts["updated" if old else "added"] += 1
        write_music(connection, number, record)
        remarks += [Remark(file.shown_as, song_id, text) for text in record.remarks]
    return AddReport(
        counts["added"], counts["updated"], counts["unchanged"], remarks=tuple(remarks)
    )


def _same_content(record: SongRecord, other: SongRecord) -> bool:
    """Return whether two songs differ only in their place in the file."""
    return record._replace(tune="", line=None) == other._replace(tune="", line=None)


def _music_differs(songs: Sequence[_Read]) -> bool:
    """Return whether what is derived from songs is stale: of their notes, key, metre or hands."""
    return any(song.old is None or not same_music(song.old.record, song.record) for song in songs)
