"""Two groups of songs side by side, as tables for people."""

from collections.abc import Sequence

from melodex.cli.printing.lick_use_text import LICK_COLUMNS, lick_row
from melodex.cli.printing.long_lists import Lists
from melodex.cli.terminal import print_lines
from melodex.model.results.audit import CommonTune, Comparison, SharedPair
from melodex.report.audit_words import comparison_in_words, tunes_least_covered, versions_in_words
from melodex.report.lesson_words import percent_in_words, spans_in_words


def print_comparison(comparison: Comparison, lists: Lists) -> None:
    """Print a summary, then what both groups have and what only each has."""
    a, b = comparison.group_a, comparison.group_b
    print_lines(*comparison_in_words(comparison), "")
    _print_common_tunes(comparison.common_tunes, (a, b), lists)
    _print_passages(comparison.common_passages, (a, b), lists)
    lists.print("Licks in both", LICK_COLUMNS, list(map(lick_row, comparison.common_licks)))
    for group, other, tunes, coverage in (
        (a, b, comparison.tunes_only_a, comparison.coverage_a),
        (b, a, comparison.tunes_only_b, comparison.coverage_b),
    ):
        rows = [
            {"title": versions_in_words(tune.titles), "share": percent_in_words(share)}
            for tune, share in tunes_least_covered(tunes, coverage)
        ]
        columns = {"title": "title", f"of it in {other} #": "share"}
        lists.print(f"Tunes only in {group}, the most new first", columns, rows)
        lists.print(f"Licks only in {group}", LICK_COLUMNS, list(map(lick_row, coverage.missing)))


def _print_common_tunes(tunes: Sequence[CommonTune], groups: tuple[str, str], lists: Lists) -> None:
    rows = [
        {
            "a": versions_in_words(tune.titles_a),
            "of a": percent_in_words(tune.share_a),
            "b": versions_in_words(tune.titles_b),
            "of b": percent_in_words(tune.share_b),
        }
        for tune in tunes
    ]
    columns = {
        f"in {groups[0]}": "a", "of it in the other #": "of a",
        f"in {groups[1]}": "b", "of it in the first #": "of b",
    }  # fmt: skip
    lists.print("Tunes in both", columns, rows)


def _print_passages(pairs: Sequence[SharedPair], groups: tuple[str, str], lists: Lists) -> None:
    rows = [
        {
            "a": f"{pair.title_a}, {spans_in_words(pair.measures_a)}",
            "b": f"{pair.title_b}, {spans_in_words(pair.measures_b)}",
            "beats": max(pair.beats_a, pair.beats_b),
        }
        for pair in pairs
    ]
    columns = {"quarter notes #": "beats", f"in {groups[0]}": "a", f"in {groups[1]}": "b"}
    lists.print("Passages that songs of different tunes share", columns, rows)
