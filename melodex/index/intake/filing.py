"""File a record: put what was read from a file in place of what was read from it before."""

import json
import sqlite3
from collections import Counter, defaultdict, deque
from collections.abc import Sequence
from dataclasses import replace
from operator import attrgetter
from typing import NamedTuple

from melodex.index.checksums import checksum
from melodex.index.intake.file_records import FileRecord, identity_of
from melodex.index.intake.plain_records import from_plain, to_plain
from melodex.index.schema import mark_melodies_changed
from melodex.index.song_ids import SongIds
from melodex.index.song_records import PackedMelody, SongRecord, as_utf8
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
_MUSIC = slice(SongRecord._fields.index("key"), None)  # behind what names a song
_STORED_SONGS = """
    SELECT song.id, song.song, title, tune, line, collection, key, metre, measure_count,
        note_count, measure_grid, stated, notes, phrase_ends, chord_tones, grace_notes, sections
    FROM song
    JOIN melody ON melody.song = song.id
    JOIN score ON score.song = song.id
    WHERE file = ? ORDER BY place
"""
_WRITE_SONG = """
    INSERT INTO song (id, song, file, place, title, tune, line, collection, key, metre,
        measure_count, note_count)
    VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
    ON CONFLICT (id) DO UPDATE SET place = excluded.place, title = excluded.title,
        tune = excluded.tune, line = excluded.line, collection = excluded.collection,
        key = excluded.key, metre = excluded.metre, measure_count = excluded.measure_count,
        note_count = excluded.note_count
"""
_WRITE_FILE = """
    INSERT INTO file (identity, shown_as, digest, failures) VALUES (?, ?, ?, ?)
    ON CONFLICT (identity) DO UPDATE SET shown_as = excluded.shown_as, digest = excluded.digest,
        failures = excluded.failures
"""


class StoredSong(NamedTuple):
    """A song as the catalogue holds it."""

    number: int
    song: str
    record: SongRecord


class _Comparison(NamedTuple):
    """A file's songs as read, beside those that the catalogue holds."""

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

    A song known from the file's earlier reading keeps its id and what was described of it. Songs
    that failed this time stay as they were; those that are no longer in the file are removed.
    """
    # Another process may have filed the same reading meanwhile.
    if report := known_report(connection, file, digest):
        return report
    stored = _stored_songs(connection, file)
    if not record.songs and not stored:
        return AddReport(failed=record.failures)
    comparison = _compare(stored, record)
    failures = _failures(comparison, record)
    # Without a digest a file of which nothing could be read is tried again next time.
    number = _write_file(connection, file, digest if record.songs else None, failures)
    connection.executemany(
        "DELETE FROM song WHERE id = ?", [(song.number,) for song in comparison.gone]
    )
    report = _write_songs(connection, file, number, comparison.pairs)
    if comparison.gone or _music_differs(comparison.pairs):
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


def _write_songs(
    connection: sqlite3.Connection,
    file: MusicFile,
    file_number: int,
    pairs: Sequence[tuple[SongRecord, StoredSong | None]],
) -> AddReport:
    ids = SongIds(connection)
    counts: Counter[str] = Counter()
    remarks: list[Remark] = []
    for place, (record, old) in enumerate(pairs):
        song_id = old.song if old else ids.give(record.title)
        number = old.number if old else None
        cursor = connection.execute(_WRITE_SONG, (number, song_id, file_number, place, *record[:8]))
        if old and _same_content(record, old.record):
            counts["unchanged"] += 1
            continue
        counts["updated" if old else "added"] += 1
        _write_score(connection, old.number if old else cursor.lastrowid, record)
        remarks += [Remark(file.shown_as, song_id, text) for text in record.remarks]
    return AddReport(
        counts["added"], counts["updated"], counts["unchanged"], remarks=tuple(remarks)
    )


def _write_score(connection: sqlite3.Connection, number: int | None, record: SongRecord) -> None:
    connection.execute(
        "INSERT OR REPLACE INTO score VALUES (?, ?, ?, ?)",
        (number, *record.score, checksum(record.score)),
    )
    connection.execute(
        "INSERT OR REPLACE INTO melody VALUES (?, ?, ?, ?, ?, ?, ?)",
        (number, *record.melody, checksum(record.melody)),
    )


def _same_content(record: SongRecord, other: SongRecord) -> bool:
    """Return whether two songs differ only in their place in the file."""
    return record._replace(tune="", line=None) == other._replace(tune="", line=None)


def _music_differs(pairs: Sequence[tuple[SongRecord, StoredSong | None]]) -> bool:
    """Return whether what is derived from songs is stale: of their notes, key, metre or hands."""
    return any(old is None or old.record[_MUSIC] != record[_MUSIC] for record, old in pairs)


def _stored_songs(connection: sqlite3.Connection, file: MusicFile) -> list[StoredSong]:
    row = connection.execute(
        "SELECT id FROM file WHERE identity = ?", (identity_of(file),)
    ).fetchone()
    return [
        StoredSong(
            number, song, SongRecord._make((*columns[:10], PackedMelody._make(columns[10:])))
        )
        for number, song, *columns in connection.execute(_STORED_SONGS, row or (None,))
    ]
