"""How good lesson plans are: proved on 20 songs, against local search and known best on 60.

Run: python -m tests.benchmarks.lessons [--books 20] [--seconds 30]

Books are generated. The rival is a greedy order with iterated local search in the same time: every
exchange, move and turn of a stretch is tried until none helps, then the best is shaken.
"""

import argparse
import time
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.lesson_order import BEFORE, PEAK, Course, is_better, judge_order
from melodex.lessons.course import course_of
from melodex.lessons.ordering import best_order
from melodex.lessons.start import greedy_order, least_peak
from melodex.lessons.taught import NOTHING, repertoire_of
from melodex.model.lesson import NO_LIMITS, Limits
from melodex.model.material import Material

SHAKEN = 6  # random exchanges before the rival climbs again


class Book(NamedTuple):
    """A generated book, and the best that is possible where it was built so as to be known."""

    material: Material
    peak: int | None = None
    reused_from_last: int | None = None


def book_of(
    teaches: NDArray[np.bool_], lengths: NDArray[np.int64], singles: NDArray[np.int64]
) -> Material:
    """Build a material: each song has its licks one after the other, then its single measures."""
    places: list[tuple[int, ...]] = []
    measures: list[tuple[int, int, int]] = []
    for song, row in enumerate(teaches):
        end = 0
        for lick in np.flatnonzero(row).tolist():
            places.append((song, lick, end + 1, end + int(lengths[lick])))
            end += int(lengths[lick])
        measures += [(song, m, m) for m in range(1, end + int(singles[song]) + 1)]
    songs = tuple(f"song-{n:03}" for n in range(len(teaches)))
    return Material(
        songs=songs,
        titles=songs,
        levels=tuple(float(1 + n % 5) for n in range(len(songs))),
        licks=tuple(f"lick-{n}" for n in range(len(lengths))),
        lick_measures=lengths.astype(np.int32),
        places=np.array(places, np.int32),
        measures=np.array(measures, np.int32),
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

    Each lick is in songs that stand together, so every lick is handed on as often as is possible.
    One song shares nothing and is as large as the peak; the others have less to learn, each by
    another amount, so that other orders keep the peak as well.
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
    singles: NDArray[np.int64] = np.array([random.integers(0, peak - n + 1) for n in new.tolist()])
    singles[0] = peak
    reused = int(lengths @ (teaches.sum(axis=0) - 1))
    shuffled = random.permutation(songs)
    return Book(book_of(teaches[shuffled], lengths, singles[shuffled]), peak, reused)


def course_with(book: Book, limits: Limits = NO_LIMITS) -> Course:
    """Give the arrays that a plan is searched in."""
    songs = range(len(book.material.songs))
    return course_of(repertoire_of(book.material), songs, limits, NOTHING)


@compiled
def climb(order: NDArray[np.int32], course: Course) -> NDArray[np.int32]:
    """Exchange, move and turn until nothing helps."""
    n = len(order)
    judged = judge_order(order, n, 0, course)
    improved = True
    while improved:
        improved = False
        for one in range(n):
            for other in range(n):
                for kind in range(3):
                    tried = changed(order, one, other, kind)
                    better = judge_order(tried, n, 0, course)
                    if is_better(better, judged):
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
    n = len(course.singles)
    random = np.random.default_rng(0)
    best = greedy_order(course, least_peak(course, n))
    climb(np.zeros(1, np.int32), course_with(random_book(1, 0)))  # compile before the clock runs
    end = time.monotonic() + seconds
    best = climb(best, course)
    while time.monotonic() < end:
        shaken = best.copy()
        for one, other in random.integers(0, n, (SHAKEN, 2)):
            shaken[[one, other]] = shaken[[other, one]]
        shaken = climb(shaken, course)
        if not is_better(judge_order(best, n, 0, course), judge_order(shaken, n, 0, course)):
            best = shaken
    return best


def report_proofs(books: int, seconds: float) -> None:
    """Plan books of 20 songs, without limits, with a step of levels, and 12 songs of the 20."""
    for name, limits in (
        ("no limits", NO_LIMITS),
        ("levels step by 1", Limits(level_step=1)),
        ("12 of 20 songs", Limits(lessons=12)),
    ):
        for seed in range(books):
            course = course_with(random_book(20, seed), limits)
            begun = time.perf_counter()
            found = best_order(course, limits.lessons or 20, seconds=seconds)
            told = ", ".join(f"{stage.value}/{stage.bound}" for stage in found.stages)
            print(f"20 songs, {name}, book {seed}: {told}; {time.perf_counter() - begun:.1f} s")


def report_against_rival(books: int, seconds: float) -> None:
    """Plan books of 60 songs, and let the rival have the same time."""
    for seed in range(books):
        course = course_with(random_book(60, seed))
        begun = time.perf_counter()
        found = best_order(course, 60, seconds=seconds)
        taken = time.perf_counter() - begun
        rival = judge_order(rival_order(course, seconds), 60, 0, course)
        told = ", ".join(f"{stage.value}/{stage.bound}" for stage in found.stages)
        print(f"60 songs, book {seed}: {told}; {taken:.1f} s; rival {rival[PEAK]}, {rival[BEFORE]}")


def report_solved(books: int, seconds: float) -> None:
    """Plan books of 60 songs whose best order is known."""
    for seed in range(books):
        book = solved_book(60, seed)
        begun = time.perf_counter()
        peak, reused, _ = best_order(course_with(book), 60, seconds=seconds).stages
        print(
            f"60 songs, solved book {seed}: peak {peak.value} (best {book.peak}), re-use "
            f"{reused.value} (best {book.reused_from_last}); {time.perf_counter() - begun:.1f} s"
        )


def main() -> None:
    """Report all three."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--books", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=30.0)
    arguments = parser.parse_args()
    report_solved(arguments.books, arguments.seconds)
    report_proofs(arguments.books, arguments.seconds)
    report_against_rival(arguments.books, arguments.seconds)


if __name__ == "__main__":
    main()
