"""How well whole-song likeness finds a tune's versions in other books, and how fast.

Run: python -m tests.benchmarks.near [--half tuning]

The versions are those of ``version_pairs.csv``, inspected pair by pair. Every version is a query;
relevant are those in other books, and those in its own book are left out of the ranking. The
rolled queries ask by plain tunes for their arrangements, where every fourth tune that can be is in
rolls. Weights are chosen on the half "tuning"; "report" judges them.
"""

import argparse
import statistics
import time
from collections.abc import Callable
from functools import cache
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.model.lick import Lick
from tests.benchmarks.quality.retrieval_books import (
    Book,
    book_of,
    name_of,
    plain_book,
    rolled_book,
    rolled_songs,
)
from tests.benchmarks.quality.retrieval_methods import trigram_cosine
from tests.benchmarks.quality.retrieval_metrics import SEED, Quality, bootstrap, quality
from tests.benchmarks.quality.retrieval_titles import HALVES, half_of, title_key
from tests.benchmarks.quality.retrieval_versions import families

Scores: TypeAlias = NDArray[np.float64]
POOL = 30  # of the most alike, which may vote
# Of 1, 2, 3, 5, 8 voters and votes of .1, .25, .5 these had the best mean on the tuning half.
VOTERS, VOTES_WEIGH = 3, 0.5
ROLLED_QUERIES = 100
TIMED = 15
JUDGED = 200  # songs; what comes later adds less than a two-hundredth
BEHIND = -1e3  # the score of all later ones


class NearQuery(NamedTuple):
    """A song, and the songs that ought to be found near it."""

    song: int
    relevant: frozenset[int]
    ignored: frozenset[int]
    tune: str


def version_queries(half: str) -> list[NearQuery]:
    """Query by every version for the versions in other books."""
    songs = plain_book().songs
    number_of = {name_of(song): number for number, song in enumerate(songs)}
    queries = []
    for family in families():
        members = frozenset(number_of[name] for name in family)
        title = songs[number_of[min(family)]].title
        for song in sorted(members) if half_of(title) == half else ():
            book = songs[song].collection
            ignored = frozenset(n for n in members if songs[n].collection == book)
            queries.append(NearQuery(song, members - ignored, ignored, title_key(title)))
    return queries


def rolled_queries(half: str) -> list[NearQuery]:
    """Query by plain tunes for their arrangements in rolls; other versions are left out."""
    songs = plain_book().songs
    keys = [title_key(song.title) for song in songs]
    numbers = [number for number in sorted(rolled_songs()) if half_of(songs[number].title) == half]
    chosen = np.random.default_rng(SEED).permutation(numbers)[:ROLLED_QUERIES].tolist()
    same = {n: frozenset(o for o, key in enumerate(keys) if key == keys[n]) for n in chosen}
    return [NearQuery(n, frozenset({n}), same[n] - {n}, keys[n]) for n in chosen]


@cache
def compared(book: Book) -> WholeSongs:
    """Lay out what is compared of a book."""
    return whole_songs(book.blocks.songs)


def with_plain_last(book: Book, song: int) -> tuple[WholeSongs, int]:
    """Add the plain form of a song, the query, after the songs of a book."""
    last = book_of((*book.songs, plain_book().songs[song]))
    return whole_songs(last.blocks.songs), len(book.songs)


def trigrams(book: Book, song: int) -> Scores:
    """Compare counts of three successive intervals."""
    return trigram_cosine(Lick(plain_book().songs[song].melody, ""), book.blocks)


def near(book: Book, song: int) -> Scores:
    """Align as ``melodex near`` does."""
    whole, query = with_plain_last(book, song)
    return likeness(whole, query, np.arange(query))


def near_with_votes(book: Book, song: int) -> Scores:
    """Average the best songs' scores with those of the songs most like each of them."""
    scores = near(book, song)
    pool = np.argsort(-scores, kind="stable")
    pool = pool[pool != song][:POOL]
    voted = scores.copy()
    for candidate in pool.tolist():
        others = pool[pool != candidate]
        voters = most_alike(candidate, compared(book), others, limit=VOTERS).songs
        voted[candidate] += VOTES_WEIGH * (scores[voters].mean() - scores[candidate])
    return voted


NEAR, VOTES = "near", "near, with votes"
METHODS: dict[str, Callable[[Book, int], Scores]] = {
    "trigram cosine": trigrams,
    NEAR: near,
}


def likeness(whole: WholeSongs, query: int, selected: NDArray[np.int64]) -> Scores:
    """Give every song a score, as far down as a ranking is judged."""
    found = most_alike(query, whole, selected, limit=JUDGED)
    scores = np.full(len(selected), BEHIND)
    scores[found.songs] = found.scores
    return scores


def print_quality(title: str, book: Book, queries: list[NearQuery], *, votes: bool) -> None:
    """Print each method's means with 95 % intervals, and what votes add, paired."""
    tunes = [query.tune for query in queries]
    methods = METHODS | ({VOTES: near_with_votes} if votes else {})
    columns = {}
    for name, method in methods.items():
        results = [quality(method(book, q.song), q.relevant, q.ignored) for q in queries]
        columns[name] = np.array(results)
        means = [bootstrap(column, tunes) for column in columns[name].T]
        told = ", ".join(f"{f} {m}" for f, m in zip(Quality._fields, means, strict=True))
        print(f"{title}, {len(queries)} queries, {name}: {told}", flush=True)
    if votes:
        gain = columns[VOTES][:, 0] - columns[NEAR][:, 0]
        print(f"{title}: votes add to mean average precision {bootstrap(gain, tunes)}, paired")


def print_speed() -> None:
    """Print how long it takes to find the 20 songs most like one, among all."""
    whole = compared(plain_book())
    selected = np.arange(len(whole.textures))
    lengths, seconds = [], []
    for song in np.random.default_rng(SEED).permutation(selected)[:TIMED].tolist():
        begun = time.perf_counter()
        most_alike(song, whole, selected, limit=20)
        seconds.append(time.perf_counter() - begun)
        lengths.append(int(whole.sizes[song]))
    print(
        f"{TIMED} songs of {min(lengths)} to {max(lengths)} notes against {len(selected)}: "
        f"median {statistics.median(seconds):.2f} s, longest {max(seconds):.2f} s"
    )


def main() -> None:
    """Print quality and speed."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--half", choices=HALVES, default="report")
    half = parser.parse_args().half
    print_speed()
    print_quality(f"versions ({half})", plain_book(), version_queries(half), votes=True)
    for known in (True, False):
        title = f"rolled, strings {'known' if known else 'withheld'} ({half})"
        print_quality(title, rolled_book(strings_known=known), rolled_queries(half), votes=False)


if __name__ == "__main__":
    main()
