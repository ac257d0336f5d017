"""How well each way of searching finds what it should, by kind of change and by length.

Run: python -m tests.benchmarks.retrieval [--part a] [--half report] [--methods "plain DTW"]

(a) versions of a tune in different books, by the first notes of one of them; (b) licks re-found
after a player's changes; (c) the songbook's planted licks and decoys. The tunes are parted into
two halves: weights are chosen on "tuning", the default "report" judges them. Equal scores are
ordered by a fixed shuffling. The ceiling is the unchanged lick, looked for in the plain songs.
"""

import argparse

from tests.benchmarks.retrieval_methods import METHODS
from tests.benchmarks.retrieval_queries import QUERIES, queries_of
from tests.benchmarks.retrieval_tables import run_part
from tests.benchmarks.retrieval_titles import HALVES

PARTS = ("a", "b", "c")


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
    for half in halves:
        if "b" in (asked.part or PARTS):
            queries = queries_of(half, asked.queries)
            run_part(queries, asked.methods, f"(b) {half}", ceiling=not asked.no_ceiling)


if __name__ == "__main__":
    main()
