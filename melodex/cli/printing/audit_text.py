"""An audit as tables for people: a summary, then the most important rows of each list."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from melodex.cli.printing.audit_rows import Rows, group_row
from melodex.cli.printing.comparison_text import print_comparison
from melodex.cli.printing.evidence_text import SCORE_AND_CHANCE, evidence_cells, remark_column
from melodex.cli.printing.lick_use_text import LICK_COLUMNS, lick_row
from melodex.cli.printing.long_lists import Lists
from melodex.cli.printing.match_text import CAUTION
from melodex.cli.terminal import notice, print_lines
from melodex.model.results.audit import (
    Audit,
    Group,
    GroupPair,
    NearDuplicate,
    Overview,
    SharedPair,
    TaughtTechnique,
)
from melodex.notation.measure_names import half_steps_in_words
from melodex.report.audit_words import first_place_in_words, overview_in_words
from melodex.report.lesson_words import percent_in_words

Labels = Mapping[str, str]  # what to call songs, by id


def print_audit(audit: Audit, labels: Labels, limit: int) -> None:
    """Print a summary, then at most ``limit`` rows of each list, and how many more there are.

    Two groups side by side, or several groups, replace the lists of all songs.
    """
    lists = Lists(limit)
    if audit.comparison:
        print_comparison(audit.comparison, lists)
        return
    print_lines(*overview_in_words(audit.overview), "")
    if audit.groups:
        _print_groups(audit.groups, audit.group_pairs, lists)
    else:
        _print_overview(audit.overview, labels, lists)


def _print_overview(overview: Overview, labels: Labels, lists: Lists) -> None:
    _print_versions(overview.near_duplicates, labels, lists)
    _print_pairs(overview.pairs, labels, lists)
    for title, uses in (
        ("Licks taught by two songs or more", overview.taught_often),
        ("Licks taught by one of these songs only", overview.taught_once),
    ):
        lists.print(title, LICK_COLUMNS, list(map(lick_row, uses)))
    _print_techniques(overview.techniques, lists)
    rows = [asdict(song) | {"title": labels[song.song]} for song in overview.alone]
    columns = {"quarter notes #": "beats", "title": "title"}
    lists.print("Songs that share nothing with another of these", columns, rows)
    if overview.near_duplicates:
        notice(CAUTION)


def _print_versions(pairs: Sequence[NearDuplicate], labels: Labels, lists: Lists) -> None:
    rows = [
        {"one": labels[pair.song_a], "other": labels[pair.song_b]}
        | {"key change": half_steps_in_words(pair.transposition)}
        | evidence_cells(pair.score, pair.expected_by_chance)
        for pair in pairs
    ]
    columns = {
        **SCORE_AND_CHANCE,
        "one song": "one",
        "other song": "other",
        "half-steps": "key change",
        **remark_column(rows[: lists.limit]),
    }
    lists.print("Versions of one tune", columns, rows)


def _print_pairs(pairs: Sequence[SharedPair], labels: Labels, lists: Lists) -> None:
    rows = [
        {
            "one": labels[pair.song_a],
            "other": labels[pair.song_b],
            "of one": percent_in_words(pair.share_a),
            "of other": percent_in_words(pair.share_b),
            "licks": len(pair.licks),
        }
        for pair in pairs
        if not pair.same_tune
    ]
    columns = {
        "one song": "one",
        "of it #": "of one",
        "other song": "other",
        "of that #": "of other",
        "licks #": "licks",
    }
    lists.print("Songs of different tunes that share passages", columns, rows)


def _print_techniques(techniques: Sequence[TaughtTechnique], lists: Lists) -> None:
    rows = [asdict(each) | {"first": first_place_in_words(each)} for each in techniques]
    columns = {
        "technique": "technique",
        "tunes #": "tunes",
        "songs #": "songs",
        "first in": "first",
    }
    lists.print("Techniques in tab, those taught first at the top", columns, rows)


def _print_groups(groups: Sequence[Group], pairs: Sequence[GroupPair], lists: Lists) -> None:
    rows: Rows = [
        row | {"shared": percent_in_words(group.overview.shared)}
        for group in groups
        for row in [group_row(group)]
    ]
    columns = {
        "group": "value",
        "songs #": "songs",
        "tunes #": "tunes",
        "shared among them #": "shared",
        "licks taught often #": "taught_often",
        "once #": "taught_once",
        "songs that share nothing #": "alone",
        "techniques #": "techniques",
    }
    lists.print("Groups", columns, rows)
    _print_group_pairs(pairs, lists)


def _print_group_pairs(pairs: Sequence[GroupPair], lists: Lists) -> None:
    in_order = sorted(pairs, key=lambda pair: -(pair.share_a or 0) - (pair.share_b or 0))
    rows = [
        asdict(pair)
        | {"of a": percent_in_words(pair.share_a), "of b": percent_in_words(pair.share_b)}
        for pair in in_order
    ]
    columns = {
        "group": "group_a",
        "the other teaches #": "of a",
        "other group": "group_b",
        "the first teaches #": "of b",
        "tunes in both #": "tunes",
        "licks in both #": "licks",
    }
    lists.print("Two groups at a time, those that share most first", columns, rows)
