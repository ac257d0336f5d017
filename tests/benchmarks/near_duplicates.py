"""Which whole-song score makes two songs versions of one tune, and which none is by accident.

Run: python -m tests.benchmarks.near_duplicates

Judged pairs are those of ``version_pairs.csv``; beside them stand pairs of bundled songs picked at
random, some of which are relatives after all.
"""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from tests.benchmarks.retrieval_books import name_of, plain_book
from tests.benchmarks.retrieval_metrics import SEED
from tests.benchmarks.retrieval_versions import read_pairs

THRESHOLDS = (0.2, 0.25, 0.3, 0.35, 0.4, 0.5)
QUERIES, COMPARED = 40, 250  # songs picked at random


def main() -> None:
    """Print how many pairs of each kind reach each score."""
    songs = plain_book().songs
    number_of = {name_of(song): number for number, song in enumerate(songs)}
    compared = whole_songs(plain_book().blocks.songs)
    judged = [(pair.is_kept, [number_of[name] for name in pair.songs]) for pair in read_pairs()]
    rng = np.random.default_rng(SEED)
    queries = rng.choice(len(songs), QUERIES, replace=False).tolist()
    others_drawn = rng.choice(len(songs), COMPARED, replace=False)
    kinds = {
        "versions of one tune": _scores(compared, (pair for kept, pair in judged if kept)),
        "equal titles only": _scores(compared, (pair for kept, pair in judged if not kept)),
        "picked at random": _scores(
            compared, ([song, *others_drawn[others_drawn != song].tolist()] for song in queries)
        ),
    }
    for kind, scores in kinds.items():
        reached = ", ".join(f"{np.sum(scores >= least)} at {least}" for least in THRESHOLDS)
        print(f"{kind}: of {len(scores)} pairs {reached}")


def _scores(compared: WholeSongs, songs: Iterable[Sequence[int]]) -> NDArray[np.float32]:
    """Compare the first song of each list with its others."""
    found = [
        most_alike(first, compared, np.array(others), limit=None).scores for first, *others in songs
    ]
    return np.concatenate(found)


if __name__ == "__main__":
    main()
