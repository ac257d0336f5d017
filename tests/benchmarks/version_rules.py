"""Which rule makes two songs versions of one tune, and which finds none by accident.

Run: python -m tests.benchmarks.version_rules

Judged pairs are those of ``version_pairs.csv``; beside them stand pairs of bundled songs picked at
random, some of which are relatives after all. "Known" are pairs of which whoever knows the one
knows more than ``KNOWN_OF_EACH`` of the other, and the other way round.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.features.written_time import written_time
from melodex.finder.teaching.song_times import equal_parts
from melodex.finder.teaching.versions import KNOWN_OF_EACH
from melodex.model.song import Song
from melodex.phrases.passages import passages_between
from tests.benchmarks.quality.retrieval_books import name_of, plain_book
from tests.benchmarks.quality.retrieval_metrics import SEED
from tests.benchmarks.quality.retrieval_versions import read_pairs

THRESHOLDS = (0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5)
QUERIES, COMPARED = 40, 250  # songs picked at random


class Pair(NamedTuple):
    """Two songs compared."""

    score: float
    largely_known: bool


def main() -> None:
    """Print how many pairs of each kind reach each score, and how many are known as well."""
    songs = plain_book().songs
    number_of = {name_of(song): number for number, song in enumerate(songs)}
    compared = whole_songs(plain_book().blocks.songs)
    judged = [(pair.is_kept, [number_of[name] for name in pair.songs]) for pair in read_pairs()]
    rng = np.random.default_rng(SEED)
    queries = rng.choice(len(songs), QUERIES, replace=False).tolist()
    others_drawn = rng.choice(len(songs), COMPARED, replace=False)
    kinds: dict[str, Iterable[Sequence[int]]] = {
        "versions of one tune": (pair for kept, pair in judged if kept),
        "equal titles only": (pair for kept, pair in judged if not kept),
        "picked at random": (
            [song, *others_drawn[others_drawn != song].tolist()] for song in queries
        ),
    }
    for kind, pairs in kinds.items():
        found = list(_compared(songs, compared, pairs))
        for rule, chosen in (
            ("", found),
            (" and largely known", [pair for pair in found if pair.largely_known]),
        ):
            reached = ", ".join(
                f"{sum(pair.score > least for pair in chosen)} above {least}"
                for least in THRESHOLDS
            )
            print(f"{kind}{rule}: of {len(found)} pairs {reached}")


def _compared(
    songs: Sequence[Song], compared: WholeSongs, pairs: Iterable[Sequence[int]]
) -> Iterable[Pair]:
    """Compare the first song of each list with its others."""
    for first, *others in pairs:
        found = most_alike(first, compared, np.array(others), limit=None)
        for other, score in zip(found.songs.tolist(), found.scores.tolist(), strict=True):
            two = songs[first], songs[other]
            largely_known = score > min(THRESHOLDS) and all(
                _share_taught(*both) > KNOWN_OF_EACH for both in (two, two[::-1])
            )
            yield Pair(score, largely_known)


def _share_taught(source: Song, song: Song) -> float:
    """Return which part of a song's time somebody knows who has learned another."""
    is_known = np.zeros(len(song.melody), np.bool_)
    for _, notes in passages_between(source.melody, song.melody):
        is_known[notes.start : notes.stop] = True
    time = written_time(song)
    first = equal_parts(song, time)
    known = np.bincount(first, is_known[time.notes], len(first))[first] > 0
    return float(time.durations[known].sum() / time.durations.sum())


if __name__ == "__main__":
    main()
