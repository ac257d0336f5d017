"""The start of the search for an order: a greedy order, and bounds that need no search."""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels.lesson_order import BITS, Course


def most_known_after(course: Course, songs_before: int) -> NDArray[np.int64]:
    """Return an upper bound on each song's known share after a number of other songs.

    At best everything that others teach is known, limited to the sum of the largest teachers.

    Returns
    -------
    shape (n,), int64
        In parts of 10,000.
    """
    songs = len(course.own_new)
    taught_by = np.zeros((songs, songs), np.int64)  # [song, teacher]
    everything = np.zeros(songs, np.int64)
    teachers = teachers_of_atoms(course)
    for song in range(songs):
        atoms = slice(course.starts[song], course.starts[song + 1])
        taught_by[song] = course.shares[atoms] @ teachers[atoms]
        everything[song] = course.shares[atoms].sum()
    taught_by.sort(axis=1)
    best = taught_by[:, songs - min(songs_before, songs) :].sum(axis=1)
    known: NDArray[np.int64] = np.minimum(best, everything)
    return known + course.known_shares.astype(np.int64)


def most_known(course: Course, lessons: int) -> int:
    """Return an upper bound on the sum of known shares of any order of so many songs.

    In each lesson it is limited by the song of which most can be known by then, and each song
    counts once: the songs of which most can be known at the end.
    """
    by_lesson = sum(int(most_known_after(course, lesson).max()) for lesson in range(lessons))
    at_the_end = np.sort(most_known_after(course, lessons - 1))[-lessons:]
    at_first = int(most_known_after(course, 0).max())
    by_song = int(at_the_end[1:].sum()) + min(at_first, int(at_the_end.max()))
    return min(by_lesson, by_song)


def most_known_from_last(course: Course, lessons: int) -> int:
    """Return an upper bound on the sum of shares known from the lesson just before.

    Each song except the first has at most what the song that teaches most of it teaches.
    """
    between = course.from_last.astype(np.int64)
    np.fill_diagonal(between, 0)
    best = np.sort(between.max(axis=0))
    return int(best[len(best) - (lessons - 1) :].sum())


def least_peak(course: Course, lessons: int) -> int:
    """Return a lower bound, in ticks, on the peak of new material of any order of so many lessons.

    The song with the least new material is taken repeatedly. Since the new material of a song only
    shrinks with earlier songs, this reaches every song that any order below a peak can reach; which
    songs may follow each other is ignored.
    """
    order, news = _by_least_new(course)
    so_far = np.maximum.accumulate(news)
    must_come = course.must_come.copy()
    must_come[course.fixed[:, 0]] = True
    least = int(so_far[lessons - 1 : lessons].max(initial=0))
    least = max(least, int(so_far[must_come[order]].max(initial=0)))
    nothing_met = np.zeros(course.teachers.shape[1], np.uint64)
    for song, place in course.fixed.tolist():
        if place == 0:
            least = max(least, _new_in(course, song, nothing_met))
    return least


def greedy_order(course: Course) -> NDArray[np.int32]:
    """Order songs one by one: satisfy limits if possible, and take the song known best.

    Returns
    -------
    shape (n,), int32
        Every song once.
    """
    n = len(course.own_new)
    met = np.zeros(course.teachers.shape[1], np.uint64)
    place_of = np.full(n, -1)
    order: list[int] = []
    wanted = dict(course.fixed.tolist())
    had_tune = np.zeros(n, np.bool_)
    for place in range(n):
        left = np.flatnonzero(place_of < 0)
        burden = [
            (
                _limits_broken(course, song, order, place_of, wanted.get(song, place) != place)
                + 2 * int(had_tune[course.tunes[song]])
                + 2 * int(not course.turns[song, place % course.turns.shape[1]]),
                max(0, _new_in(course, song, met) - course.most_new),
                -_known_in(course, song, met),
                song,
            )
            for song in left.tolist()
        ]
        song = min(burden)[-1]
        order.append(song)
        place_of[song] = place
        had_tune[course.tunes[song]] = True
        met |= bit_of(course, song)
    return np.array(order, np.int32)


def _limits_broken(
    course: Course, song: int, order: list[int], place_of: NDArray[np.int64], misplaced: bool
) -> int:
    predecessors = course.before[course.before[:, 1] == song, 0]
    leap = not (course.may_follow[order[-1], song] if order else course.may_begin[song])
    late = not course.must_come[song] and bool((place_of[course.must_come] < 0).any())
    return 2 * (int((place_of[predecessors] < 0).sum()) + leap + misplaced) + late


def _by_least_new(course: Course) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Repeatedly take the song with the least new material; return how much each had."""
    met = np.zeros(course.teachers.shape[1], np.uint64)
    left = list(range(len(course.own_new)))
    order: list[int] = []
    news: list[int] = []
    while left:
        new, song = min((_new_in(course, song, met), song) for song in left)
        left.remove(song)
        order.append(song)
        news.append(new)
        met |= bit_of(course, song)
    return np.array(order, np.int64), np.array(news, np.int64)


def _new_in(course: Course, song: int, met: NDArray[np.uint64]) -> int:
    atoms = slice(course.starts[song], course.starts[song + 1])
    known = (course.teachers[atoms] & met).any(axis=1)
    return int(course.own_new[song] + course.new[atoms][~known].sum())


def _known_in(course: Course, song: int, met: NDArray[np.uint64]) -> int:
    atoms = slice(course.starts[song], course.starts[song + 1])
    known = (course.teachers[atoms] & met).any(axis=1)
    return int(course.known_shares[song] + course.shares[atoms][known].sum())


def bit_of(course: Course, song: int) -> NDArray[np.uint64]:
    """Return the bit set of one song."""
    bits = np.zeros(course.teachers.shape[1], np.uint64)
    bits[song >> BITS] = np.uint64(1) << np.uint64(song % 2**BITS)
    return bits


def teachers_of_atoms(course: Course) -> NDArray[np.bool_]:
    """Return which songs teach each atom; shape (n_atoms, n)."""
    octets = course.teachers.astype("<u8").view(np.uint8)
    bits = np.unpackbits(octets, axis=1, bitorder="little")
    return bits[:, : len(course.own_new)].astype(np.bool_)
