"""An audit as tables for people, as rows for a spreadsheet, as a document for programs."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from typing import Any

from melodex.cli.evidence_text import SCORE_AND_CHANCE, evidence_cells, remark_column
from melodex.cli.match_text import CAUTION
from melodex.cli.terminal import notice, print_table, say
from melodex.model.audit import (
    NO_COVERAGE,
    PARTS,
    Audit,
    Coverage,
    CoveredSong,
    Group,
    LickUse,
    NearDuplicate,
    Overview,
    SharedPair,
)
from melodex.report.words import half_steps_in_words

Rows = Sequence[Mapping[str, object]]
Labels = Mapping[str, str]  # what to call songs, by id
_GROUP_NAMES = (
    *("value", "songs", "measures", "lick_measures"),
    *("pairs", "near_duplicates", "taught_often", "taught_once", "alone"),
)


def document_of(audit: Audit) -> dict[str, Any]:
    """Make one JSON object; its groups have the same keys, and the value that makes them one."""
    groups = [{"value": group.value} | asdict(group.overview) for group in audit.groups]
    coverage = None if audit.coverage is None else asdict(audit.coverage)
    return asdict(audit.overview) | {"coverage": coverage, "groups": groups}


def table_of(audit: Audit, part: str) -> tuple[list[str], Rows]:
    """Give the column names and the rows of one table; ``part`` is a value of ``Part``."""
    if part == "matrix":
        return _matrix(audit.overview)
    if part == "groups":
        return list(_GROUP_NAMES), [_group_row(group) for group in audit.groups]
    if part in PARTS:
        return _table(PARTS[part], getattr(audit.overview, part))
    coverage = audit.coverage or NO_COVERAGE
    if part == "missing":
        return _table(LickUse, coverage.missing)
    return _table(CoveredSong, coverage.songs)


def _table(kind: type[Any], records: Sequence[Any]) -> tuple[list[str], Rows]:
    return [field.name for field in fields(kind)], [asdict(record) for record in records]


def _matrix(overview: Overview) -> tuple[list[str], Rows]:
    """Give shared measures song by song, each song's own licks on the diagonal."""
    ids = [song.song for song in overview.songs]
    rows: list[dict[str, object]] = [
        {"song": song, **dict(zip(ids, row, strict=True))}
        for song, row in zip(ids, overview.matrix().tolist(), strict=True)
    ]
    return ["song", *ids], rows


def _group_row(group: Group) -> dict[str, object]:
    overview = group.overview
    sizes = {name: len(getattr(overview, name)) for name in PARTS}
    return {
        **sizes,
        "value": group.value,
        "measures": sum(song.measures for song in overview.songs),
        "lick_measures": sum(
            use.measures for use in (*overview.taught_often, *overview.taught_once)
        ),
    }


def print_tables(audit: Audit, labels: Labels, limit: int) -> None:
    """Print an audit's tables with so many lines at most, and say how many are left out."""
    overview = audit.overview
    _print_pairs(overview.pairs, labels, limit)
    _print_near_duplicates(overview.near_duplicates, labels, limit)
    _print_licks("Licks taught again and again", overview.taught_often, labels, limit)
    _print_licks("Licks taught by one of these songs only", overview.taught_once, labels, limit)
    _print_alone(overview, labels, limit)
    if audit.coverage is not None:
        _print_coverage(audit.coverage, labels, limit)
    if audit.groups:
        _print_groups(audit.groups)
    if overview.near_duplicates:
        notice(CAUTION)


def _print_part(title: str, columns: Mapping[str, str], rows: Rows, limit: int) -> None:
    if not rows:
        say(f"{title}: none.", "")
        return
    say(f"{title}: {len(rows)}")  # as a table's title it would be folded to the table's width
    print_table(columns, rows[:limit])
    if len(rows) > limit:
        say(f"... and {len(rows) - limit} more")
    say()


def _print_pairs(pairs: Sequence[SharedPair], labels: Labels, limit: int) -> None:
    rows = [
        asdict(pair)
        | {"share_a": _percent(pair.share_a), "share_b": _percent(pair.share_b)}
        | {"licks": len(pair.licks)}
        | _titles(pair, labels)
        for pair in pairs
    ]
    columns = {
        "measures #": "measures",
        "licks #": "licks",
        "one song": "title_a",
        "of it #": "share_a",
        "other song": "title_b",
        "of that #": "share_b",
    }
    _print_part("Pairs of songs that share licks", columns, rows, limit)


def _print_near_duplicates(pairs: Sequence[NearDuplicate], labels: Labels, limit: int) -> None:
    rows = [
        asdict(pair)
        | _titles(pair, labels)
        | {"key change": half_steps_in_words(pair.transposition)}
        | evidence_cells(pair.score, pair.expected_by_chance)
        for pair in pairs
    ]
    columns = {
        **SCORE_AND_CHANCE,
        "one song": "title_a",
        "other song": "title_b",
        "half-steps": "key change",
        **remark_column(rows[:limit]),
    }
    _print_part("Songs alike as a whole", columns, rows, limit)


def _print_licks(title: str, uses: Sequence[LickUse], labels: Labels, limit: int) -> None:
    columns = {
        "lick": "lick",
        "measures #": "measures",
        "songs #": "songs",
        "places #": "places",
        "for instance in": "instance",
    }
    rows = [asdict(use) | {"instance": labels[use.taught_in[0]]} for use in uses]
    _print_part(title, columns, rows, limit)


def _print_alone(overview: Overview, labels: Labels, limit: int) -> None:
    columns = {"title": "title", "measures #": "measures"}
    rows = [asdict(song) | {"title": labels[song.song]} for song in overview.alone]
    _print_part("Songs that share no lick with another of these", columns, rows, limit)


def _print_coverage(coverage: Coverage, labels: Labels, limit: int) -> None:
    rows = [
        asdict(song) | {"title": labels[song.song], "share": _percent(song.share)}
        for song in coverage.songs
    ]
    columns = {"covered #": "share", "title": "title", "measures #": "measures"}
    share = _percent(coverage.share)
    title = f"The other songs teach {share} of these songs' measures; the least covered first"
    _print_part(title, columns, rows, limit)
    _print_licks(
        "Licks of these songs that the others do not teach", coverage.missing, labels, limit
    )


def _print_groups(groups: Sequence[Group]) -> None:
    columns = {
        "group": "value",
        "songs #": "songs",
        "pairs #": "pairs",
        "alike #": "near_duplicates",
        "taught often #": "taught_often",
        "taught once #": "taught_once",
        "alone #": "alone",
    }
    _print_part("Groups", columns, [_group_row(group) for group in groups], len(groups))


def _titles(pair: SharedPair | NearDuplicate, labels: Labels) -> dict[str, str]:
    return {"title_a": labels[pair.song_a], "title_b": labels[pair.song_b]}


def _percent(share: float | None) -> str | None:
    return None if share is None else f"{100 * share:.0f} %"
