"""How many candidates must stage 1 propose so that stage 2 loses nothing of what it ranks high?

Run: python -m tests.benchmarks.candidates_needed [--queries 168]

Changed licks of part (b) of ``retrieval``, tuning half, over the four bundled collections. A row a
share of the songs: how much of stage 2's first ten (and of its first) is among so many songs of
least cost in stage 1, by kind of change.
"""

import argparse

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.quality.retrieval_methods import stage_one_hold, stage_one_skip, stage_two
from tests.benchmarks.quality.retrieval_queries import CHANGED_KINDS, Query, tuning_queries

SHARES = (0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5)
TOP = 10
STEPS = {"hold": stage_one_hold, "skip": stage_one_skip}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--queries", type=int, default=168)
    queries = tuning_queries(count=parser.parse_args().queries)
    for name, kinds in {"plain": CHANGED_KINDS, "rolled": None}.items():
        chosen = [q for q in queries if (q.kind in CHANGED_KINDS) == (kinds is not None)]
        print(f"\n{name}: {len(chosen)} licks")
        print("steps  " + "".join(f"{share:>13.0%}" for share in SHARES))
        for steps, proposals in ranks_in_stage_one(chosen).items():
            kept = [proposals <= share for share in SHARES]
            cells = "".join(f"{k.mean():>7.3f} {k[:, 0].mean():.3f}" for k in kept)
            print(f"{steps:<6} {cells}")


def ranks_in_stage_one(queries: list[Query]) -> dict[str, NDArray[np.float64]]:
    """Find which share of the songs stage 1 puts no later than each of stage 2's first ten."""
    ranks: dict[str, list[NDArray[np.float64]]] = {name: [] for name in STEPS}
    for query in queries:
        first_ten = np.argsort(-stage_two(query.lick, query.blocks), kind="stable")[:TOP]
        for name, method in STEPS.items():
            scores = method(query.lick, query.blocks)
            no_later = [np.count_nonzero(scores >= scores[song]) for song in first_ten]
            ranks[name].append(np.array(no_later) / len(scores))
    return {name: np.array(rows) for name, rows in ranks.items()}


if __name__ == "__main__":
    main()
