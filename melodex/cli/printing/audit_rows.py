"""An audit as one document for programs, and its tables for a spreadsheet."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from enum import StrEnum
from typing import Any

from melodex.errors import QueryError
from melodex.model.results.audit import (
    COMPARED,
    PARTS,
    Audit,
    Comparison,
    Coverage,
    CoveredSong,
    Group,
    GroupPair,
    LickUse,
    Overview,
)

Rows = Sequence[Mapping[str, object]]


class AuditTable(StrEnum):
    """A table of an audit."""

    PAIRS = "pairs"
    MATRIX = "matrix"
    SONGS = "songs"
    TUNES = "tunes"
    NEAR_DUPLICATES = "near_duplicates"
    TAUGHT_OFTEN = "taught_often"
    TAUGHT_ONCE = "taught_once"
    ALONE = "alone"
    TECHNIQUES = "techniques"
    GROUPS = "groups"
    GROUP_PAIRS = "group_pairs"
    COMMON_TUNES = "common_tunes"
    COMMON_LICKS = "common_licks"
    COMMON_PASSAGES = "common_passages"
    TUNES_ONLY_A = "tunes_only_a"
    TUNES_ONLY_B = "tunes_only_b"
    COVERAGE = "coverage"
    COVERAGE_B = "coverage_b"
    MISSING = "missing"
    MISSING_B = "missing_b"


OF_GROUPS = frozenset({AuditTable.GROUPS, AuditTable.GROUP_PAIRS})
OF_COMPARISON = frozenset(
    {
        *map(AuditTable, COMPARED),
        AuditTable.COVERAGE,
        AuditTable.COVERAGE_B,
        AuditTable.MISSING,
        AuditTable.MISSING_B,
    }
)
GROUP_NAMES = (
    *("value", "songs", "tunes", "beats", "shared"),
    *("pairs", "near_duplicates", "taught_often", "taught_once", "alone", "techniques"),
)


def document_of(audit: Audit) -> dict[str, Any]:
    """Return an audit as one JSON object; each group has the same keys and its own value."""
    return asdict(audit.overview) | {
        "coverage": audit.coverage and asdict(audit.coverage),
        "comparison": audit.comparison and asdict(audit.comparison),
        "groups": [{"value": group.value} | asdict(group.overview) for group in audit.groups],
        "group_pairs": [asdict(pair) for pair in audit.group_pairs],
    }


def table_of(audit: Audit, part: AuditTable) -> tuple[list[str], Rows]:
    """Return the column names and the rows of one table.

    Raises
    ------
    QueryError
        If the table compares two groups and there are not two.
    """
    if part in OF_COMPARISON:
        return _of_comparison(audit.comparison, part)
    if part is AuditTable.MATRIX:
        return _matrix(audit.overview)
    if part is AuditTable.GROUPS:
        return list(GROUP_NAMES), [group_row(group) for group in audit.groups]
    if part is AuditTable.GROUP_PAIRS:
        return _table(GroupPair, audit.group_pairs)
    return _table(PARTS[part], getattr(audit.overview, part))


def _of_comparison(comparison: Comparison | None, part: AuditTable) -> tuple[list[str], Rows]:
    if comparison is None:
        raise QueryError(
            f"The table {part} compares two groups.",
            "name them: --against-level 1-2, or --by COLUMN --between VALUE VALUE.",
        )
    if part in COMPARED:
        return _table(COMPARED[part], getattr(comparison, part))
    return _of_coverage(
        comparison.coverage_b if part.endswith("_b") else comparison.coverage_a, part
    )


def _of_coverage(coverage: Coverage, part: AuditTable) -> tuple[list[str], Rows]:
    if part in {AuditTable.MISSING, AuditTable.MISSING_B}:
        return _table(LickUse, coverage.missing)
    return _table(CoveredSong, coverage.songs)


def _table(kind: type[Any], records: Sequence[Any]) -> tuple[list[str], Rows]:
    return [field.name for field in fields(kind)], [asdict(record) for record in records]


def _matrix(overview: Overview) -> tuple[list[str], Rows]:
    """Return the share of each row's song that each column's song teaches."""
    ids = [song.song for song in overview.songs]
    rows: list[dict[str, object]] = [
        {"song": song, **dict(zip(ids, row, strict=True))}
        for song, row in zip(ids, overview.matrix().tolist(), strict=True)
    ]
    return ["song", *ids], rows


def group_row(group: Group) -> dict[str, object]:
    """Return a group's counts: its songs, pairs, licks and so on."""
    overview = group.overview
    sizes = {name: len(getattr(overview, name)) for name in PARTS}
    return {
        **sizes,
        "value": group.value,
        "beats": overview.beats,
        "shared": overview.shared,
    }
