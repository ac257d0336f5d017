"""How good lesson plans are: a choice of bundled tunes, books of 20 songs, known best on 60.

Run: python -m tests.benchmarks.lessons [--books 20] [--seconds 30] [CATALOGUE]

The bundled tunes are 150 of the fiddle collections, drawn with a seed, and so are their
levels, from 1 to 5; 12 lessons are chosen from them, the level going up by 1 at most. Books are
generated: their songs are words of measures. The rival is a greedy order with iterated local search
in the same time: every exchange, move and turn of a stretch is tried until none helps, then the
best is shaken.
"""

import argparse
import time
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.finder.collection.list_songs import list_songs
from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.kernels._compile import compiled
from melodex.kernels.lesson_order import KNOWN, Course, evaluate_order, is_better
from melodex.lessons.atoms import WHOLE_SONG, atoms_of
from melodex.lessons.course import course_of
from melodex.lessons.knowledge import nothing_known
from melodex.lessons.ordering import GRAIN, Ordering, best_order
from melodex.lessons.start import greedy_order
from melodex.model.results.lesson import NO_LIMITS, Limits
from melodex.model.results.material import Material
from tests.benchmarks.measuring import bundled_catalogue
from tests.lessons.lettered import PARTS, lettered

SHAKEN = 6  # random exchanges before the rival climbs again
LETTERS = 0x4E00  # the first of some twenty thousand
FIDDLE = ("airdsAirs", "oneills1850", "ryansMammoth")
TUNES, LESSONS, LEVELS, DRAWS = 150, 12, 5, 100


class Book(NamedTuple):
    """A generated book, and the best that is possible where it was built so as to be known."""

    material: Material
    known: float | None = None  # mean shares
    from_last: float | None = None
    peak: float | None = None  # quarter notes


def book_of(
    teaches: NDArray[np.bool_], lengths: NDArray[np.int64], singles: NDArray[np.int64]
) -> Material:
    """Build a material: each song has its licks one after the other, then measures of its own.

    The last is repeated until all songs are equally long, so that a measure is the same share of
    each.
    """
    letters = iter(map(chr, range(LETTERS, LETTERS + 20_000)))
    licks = ["".join(next(letters) for _ in range(length)) for length in lengths.tolist()]
    words = [
        "".join(licks[lick] for lick in np.flatnonzero(row).tolist())
        + "".join(next(letters) for _ in range(own))
        for row, own in zip(teaches, singles.tolist(), strict=True)
    ]
    longest = max(map(len, words))
    return lettered(
        {f"song-{n:03}": word.ljust(longest, word[-1]) for n, word in enumerate(words)},
        levels=[float(1 + n % LEVELS) for n in range(len(words))],
    )


def random_book(songs: int, seed: int) -> Book:
    """Scatter one and a half licks a song, of 1 to 3 measures, most in two to six songs."""
    random = np.random.default_rng(seed)
    licks = songs * 3 // 2
    teaches = np.zeros((songs, licks), np.bool_)
    for lick in range(licks):
        users = min(songs, 2 + random.geometric(0.35))
        teaches[random.choice(songs, users, replace=False), lick] = True
    return Book(book_of(teaches, random.integers(1, 4, licks), random.integers(2, 9, songs)))


def solved_book(songs: int, seed: int) -> Book:
    """Build a book whose best order is known, and shuffle it.

    Each lick is in songs that stand together, so every lick is handed on as often as is possible;
    as all songs are equally long, every order knows as much. One song shares nothing and has as
    much new material as the peak; the others have less to learn, each by another amount, so that
    other orders keep the peak as well.
    """
    random = np.random.default_rng(seed)
    columns: list[NDArray[np.bool_]] = []
    for first in range(1, songs - 1):
        for _ in range(random.integers(1, 3)):
            column = np.zeros(songs, np.bool_)
            column[first : first + 1 + min(4, random.geometric(0.5))] = True
            columns.append(column)
    teaches = np.array(columns).T
    lengths: NDArray[np.int64] = random.integers(1, 4, size=(teaches.shape[1],))
    new = np.bincount(teaches.argmax(axis=0), lengths, minlength=songs).astype(np.int64)
    peak = int(new.max()) + 4
    singles: NDArray[np.int64] = np.array([random.integers(1, peak - n + 1) for n in new.tolist()])
    singles[0] = peak
    shuffled = random.permutation(songs)
    material = book_of(teaches[shuffled], lengths, singles[shuffled])
    length = len(material.durations) // PARTS / songs  # measures of each
    reused = int(lengths @ (teaches.sum(axis=0) - 1)) / length / songs
    return Book(material, reused, reused, float(peak * PARTS))


def course_with(material: Material, limits: Limits = NO_LIMITS) -> Course:
    """Return the arrays that a plan is searched in."""
    songs = range(len(material.songs))
    known = nothing_known(material)
    atoms = atoms_of(material, songs, known)
    return course_of(material, songs, limits, atoms, known, chosen=limits.lessons is not None)


@compiled
def climb(order: NDArray[np.int32], course: Course) -> NDArray[np.int32]:
    """Exchange, move and turn until nothing helps."""
    n = len(order)
    judged = evaluate_order(order, n, course)
    improved = True
    while improved:
        improved = False
        for one in range(n):
            for other in range(n):
                for kind in range(3):
                    tried = changed(order, one, other, kind)
                    better = evaluate_order(tried, n, course)
                    if is_better(better, judged, n * GRAIN):
                        order, judged, improved = tried, better, True
    return order


@compiled
def changed(order: NDArray[np.int32], one: int, other: int, kind: int) -> NDArray[np.int32]:
    """Exchange two songs, turn what lies between, or move the one to the other's place."""
    tried = order.copy()
    if kind == 0:
        tried[one], tried[other] = order[other], order[one]
    elif kind == 1 and one < other:
        tried[one : other + 1] = order[one : other + 1][::-1]
    elif one < other:
        tried[one:other], tried[other] = order[one + 1 : other + 1], order[one]
    else:
        tried[other + 1 : one + 1], tried[other] = order[other:one], order[one]
    return tried


def rival_order(course: Course, seconds: float) -> NDArray[np.int32]:
    """Spend the time on a greedy order and iterated local search."""
    n = len(course.own_new)
    random = np.random.default_rng(0)
    best = greedy_order(course)
    climb(np.zeros(1, np.int32), course_with(random_book(1, 0).material))  # compile first
    end = time.monotonic() + seconds
    best = climb(best, course)
    while time.monotonic() < end:
        shaken = best.copy()
        for one, other in random.integers(0, n, (SHAKEN, 2)):
            shaken[[one, other]] = shaken[[other, one]]
        shaken = climb(shaken, course)
        judgements = evaluate_order(best, n, course), evaluate_order(shaken, n, course)
        if not is_better(*judgements, n * GRAIN):
            best = shaken
    return best


def bundled_material(catalogue: Path | None, seed: int) -> Material:
    """Gather what the drawn tunes teach each other."""
    with bundled_catalogue(catalogue) as opened:
        songs = sorted(song.song for song in list_songs(opened) if song.collection in FIDDLE)
        drawn = np.random.default_rng(seed).choice(len(songs), TUNES, replace=False)
        material = MaterialGatherer(opened).gather([songs[n] for n in drawn], versions=True)
    levels = np.random.default_rng(seed).integers(1, LEVELS + 1, TUNES)
    return replace(material, levels=tuple(map(float, levels)))


def mean_of_random_draws(material: Material, course: Course) -> float:
    """Return the mean known share of draws of as many different tunes, in random order."""
    random = np.random.default_rng(0)
    tunes = np.array(material.tunes)
    shares: list[float] = []
    while len(shares) < DRAWS:
        order = random.permutation(len(tunes)).astype(np.int32)
        if len(np.unique(tunes[order[:LESSONS]])) == LESSONS:
            shares.append(evaluate_order(order, LESSONS, course)[KNOWN] / (WHOLE_SONG * LESSONS))
    return float(np.mean(shares))


def in_words(found: Ordering) -> str:
    """List value and bound of each aim."""
    return ", ".join(f"{stage.value:.4f}/{stage.bound:.4f}" for stage in found.stages)


def report_choice(catalogue: Path | None, seconds: float) -> None:
    """Choose lessons from bundled tunes."""
    material = bundled_material(catalogue, 0)
    course = course_with(material, Limits(lessons=LESSONS, level_step=1))
    begun = time.perf_counter()
    found = best_order(course, LESSONS, seconds=seconds)
    taken = time.perf_counter() - begun
    tunes = {material.tunes[song] for song in found.order}
    print(
        f"{LESSONS} of {TUNES} bundled tunes: {in_words(found)}; {len(tunes)} different tunes; "
        f"random draws {mean_of_random_draws(material, course):.4f}; {taken:.1f} s"
    )


def report_proofs(books: int, seconds: float) -> None:
    """Plan books of 20 songs, without limits, with a step of levels, and 12 songs of the 20."""
    for name, limits in (
        ("no limits", NO_LIMITS),
        ("levels step by 1", Limits(level_step=1)),
        ("12 of 20 songs", Limits(lessons=12)),
    ):
        for seed in range(books):
            course = course_with(random_book(20, seed).material, limits)
            begun = time.perf_counter()
            found = best_order(course, limits.lessons or 20, seconds=seconds)
            taken = time.perf_counter() - begun
            print(f"20 songs, {name}, book {seed}: {in_words(found)}; {taken:.1f} s")


def report_against_rival(books: int, seconds: float) -> None:
    """Plan books of 60 songs, and let the rival have the same time."""
    for seed in range(books):
        course = course_with(random_book(60, seed).material)
        begun = time.perf_counter()
        found = best_order(course, 60, seconds=seconds)
        taken = time.perf_counter() - begun
        rival = evaluate_order(rival_order(course, seconds), 60, course).tolist()
        print(f"60 songs, book {seed}: {in_words(found)}; {taken:.1f} s; rival {rival}")


def report_solved(books: int, seconds: float) -> None:
    """Plan books of 60 songs whose best order is known."""
    for seed in range(books):
        book = solved_book(60, seed)
        begun = time.perf_counter()
        found = best_order(course_with(book.material), 60, seconds=seconds)
        taken = time.perf_counter() - begun
        print(
            f"60 songs, solved book {seed}: {in_words(found)}; best {book.known:.4f}, "
            f"{book.from_last:.4f}, {book.peak:.4f}; {taken:.1f} s"
        )


def main() -> None:
    """Report all four."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument("catalogue", type=Path, nargs="?")
    arguments = parser.parse_args()
    report_choice(arguments.catalogue, arguments.seconds)
    report_solved(arguments.books, arguments.seconds)
    report_proofs(arguments.books, arguments.seconds)
    report_against_rival(arguments.books, arguments.seconds)


if __name__ == "__main__":
    main()
