"""Asking labelled queries by every method, and the tables of what came of it."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from rich.console import Console
from rich.table import Table

from tests.benchmarks.quality.retrieval_form_changes import FORMS
from tests.benchmarks.quality.retrieval_methods import METHODS, PLAIN_DTW
from tests.benchmarks.quality.retrieval_metrics import Quality, bootstrap, quality, share_removed
from tests.benchmarks.quality.retrieval_queries import KINDS, ROLLED_KINDS, Query
from tests.benchmarks.quality.retrieval_songbook import Answer

LENGTHS = {"5 to 7 notes": range(5, 8), "8 to 11 notes": range(8, 12), "12 to 16": range(12, 17)}
FORM_LENGTHS = {"8 or 12 notes": range(8, 13), "16 notes": range(16, 17), "24 or 32": range(24, 33)}
LONG_ENOUGH = 8  # notes of a rolled lick that must be found
CONSOLE = Console(width=200)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of asking all queries by every method."""

    queries: Sequence[Query]
    qualities: dict[str, list[Quality]]  # by method, one a query

    def values(self, method: str, measure: str, chosen: Sequence[int]) -> np.ndarray:
        """Give one measure of some queries."""
        return np.array([getattr(self.qualities[method][number], measure) for number in chosen])


def ask(queries: Sequence[Query], methods: Iterable[str], *, ceiling: bool) -> Outcome:
    """Ask all queries, by each method in turn; ``ceiling`` asks with the unchanged licks."""
    if ceiling:
        queries = [query.unchanged_query() for query in queries]
    qualities = {}
    for method in methods:
        qualities[method] = [
            quality(METHODS[method](query.lick, query.blocks), query.relevant, query.ignored)
            for query in queries
        ]
    return Outcome(queries, qualities)


def _is_of_kind(query: Query, *, kind: str, fewest_notes: int = 0) -> bool:
    return query.kind == kind and query.length >= fewest_notes


def _is_of_length(query: Query, *, kinds: Collection[str], lengths: range) -> bool:
    return query.kind in kinds and query.length in lengths


def groups_of(queries: Sequence[Query]) -> dict[str, list[int]]:
    """Sort the numbers of queries into the rows of a table."""
    rows: dict[str, Callable[[Query], bool]] = {"all": lambda _: True}
    for kind in dict.fromkeys(query.kind for query in queries):
        rows[kind] = partial(_is_of_kind, kind=kind)
    for kind in ROLLED_KINDS:
        name = f"{kind}, {LONG_ENOUGH} notes or more"
        rows[name] = partial(_is_of_kind, kind=kind, fewest_notes=LONG_ENOUGH)
    for kinds, ranges in ((KINDS, LENGTHS), (FORMS, FORM_LENGTHS)):
        for name, lengths in ranges.items():
            rows[name] = partial(_is_of_length, kinds=kinds, lengths=lengths)
    groups = {
        name: [number for number, query in enumerate(queries) if belongs(query)]
        for name, belongs in rows.items()
    }
    return {name: numbers for name, numbers in groups.items() if numbers}


def print_outcome(outcome: Outcome, title: str, measures: Iterable[str] = Quality._fields) -> None:
    """Print a table a measure, with 95 % intervals."""
    tunes = [query.tune for query in outcome.queries]
    for measure in measures:
        table = Table("", "queries", *outcome.qualities, title=f"{title}: {measure}")
        for name, numbers in groups_of(outcome.queries).items():
            cells = [
                str(
                    bootstrap(outcome.values(method, measure, numbers), [tunes[n] for n in numbers])
                )
                for method in outcome.qualities
            ]
            table.add_row(name, str(len(numbers)), *cells)
        CONSOLE.print(table)


def print_gains(outcome: Outcome, title: str) -> None:
    """Print what each method gains over plain DTW on the same queries."""
    if PLAIN_DTW not in outcome.qualities:
        return
    everything = range(len(outcome.queries))
    tunes = [query.tune for query in outcome.queries]
    plain = outcome.values(PLAIN_DTW, "average_precision", everything)
    table = Table(
        "method", "gain in mean average precision", "share of (1 - MAP) removed",
        title=f"{title}: against {PLAIN_DTW}, paired",
    )  # fmt: skip
    for method in outcome.qualities:
        if method != PLAIN_DTW:
            own = outcome.values(method, "average_precision", everything)
            gain, removed = bootstrap(own - plain, tunes), share_removed(plain, own, tunes)
            table.add_row(method, str(gain), str(removed))
    CONSOLE.print(table)


def run_part(
    queries: Sequence[Query], methods: Sequence[str], title: str, *, ceiling: bool
) -> None:
    """Ask and print one part."""
    outcome = ask(queries, methods, ceiling=False)
    print_outcome(outcome, title)
    print_gains(outcome, title)
    if ceiling:
        unchanged = ask(queries, methods, ceiling=True)
        print_outcome(unchanged, f"{title}, ceiling", ("average_precision",))


def print_answers(answers: dict[str, Sequence[Answer]], title: str) -> None:
    """Print how many planted places each way of searching finds above every decoy, by variant."""
    table = Table("variant", "places", *answers, title=f"{title}: found above every decoy")
    some = next(iter(answers.values()))
    for variant in ("all", *dict.fromkeys(answer.variant for answer in some)):
        found = [
            [each.is_found for each in own if variant in {"all", each.variant}]
            for own in answers.values()
        ]
        table.add_row(variant, str(len(found[0])), *(str(sum(each)) for each in found))
    CONSOLE.print(table)


def print_failures(answers: Sequence[Answer], title: str) -> None:
    """Print each planted place that was not found."""
    CONSOLE.print(f"{title}:")
    for answer in answers:
        if not answer.is_found:
            CONSOLE.print(f"  {answer.lick} in {answer.place}, {answer.variant}: {answer.remark}")
