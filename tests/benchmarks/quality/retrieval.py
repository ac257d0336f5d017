"""How well each way of searching finds what it should, by kind of change and by length.

Run: python -m tests.benchmarks.quality.retrieval [--part a] [--half report] [--methods "plain DTW"]

(a) versions of a tune in different books, by the first notes of one of them; (b) licks re-found
after a player's changes, and tunes in another form: as another dance, in another mode, simplified;
(c) the songbook's planted licks and decoys; (d) folk songs of one title, by the first phrase or
four measures of one of them. The tunes are parted into two halves: weights are chosen on "tuning",
the default "report" judges them. Equal scores are ordered by a fixed shuffling. The ceiling is
the unchanged lick, looked for in the plain songs.
"""

import argparse

from tests.benchmarks.quality.retrieval_forms import form_queries
from tests.benchmarks.quality.retrieval_methods import METHODS
from tests.benchmarks.quality.retrieval_queries import QUERIES, queries_of
from tests.benchmarks.quality.retrieval_same_title import same_title_queries
from tests.benchmarks.quality.retrieval_songbook import answers_of, answers_of_search
from tests.benchmarks.quality.retrieval_tables import print_answers, print_failures, run_part
from tests.benchmarks.quality.retrieval_titles import HALVES
from tests.benchmarks.quality.retrieval_versions import version_queries

PARTS = ("a", "b", "c", "d")
SEARCH = "melodex find"


def main() -> None:
    """Print the tables of the parts asked for."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--part", choices=PARTS, action="append", help="all where none is given")
    parser.add_argument("--half", choices=(*HALVES, "both"), default="report")
    parser.add_argument("--methods", nargs="+", choices=tuple(METHODS), default=tuple(METHODS))
    parser.add_argument("--queries", type=int, default=QUERIES, help="of part b, in each half")
    parser.add_argument("--no-ceiling", action="store_true", help="leave out the unchanged licks")
    asked = parser.parse_args()
    halves = HALVES if asked.half == "both" else (asked.half,)
    parts = asked.part or PARTS
    for half in halves:
        if "a" in parts:
            run_part(version_queries(half), asked.methods, f"(a) {half}", ceiling=False)
        if "b" in parts:
            by_title = {
                f"(b) {half}": queries_of(half, asked.queries),
                f"(b) other forms, {half}": form_queries(half),
            }
            for title, queries in by_title.items():
                run_part(queries, asked.methods, title, ceiling=not asked.no_ceiling)
        if "d" in parts:
            run_part(same_title_queries(half), asked.methods, f"(d) {half}", ceiling=False)
    if "c" in parts:
        search = answers_of_search()
        by_method = {name: answers_of(METHODS[name]) for name in asked.methods}
        print_answers({**by_method, SEARCH: search}, "(c)")
        print_failures(search, f"(c) not found by {SEARCH}")


if __name__ == "__main__":
    main()
