"""Where the search for an order begins: a greedy order, and bounds that need no search."""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels.lesson_order import Course


def least_peak(course: Course, lessons: int) -> int:
    """Return a peak of new material that no order of so many lessons can stay below.

    The song with the least new material is taken again and again. As what is new in a song only
    shrinks with what came before, this reaches every song that any order under a peak can reach;
    which song may follow which is left out of account. Where all songs are taken, the peak is no
    less than the mean, either.
    """
    order, news = _by_least_new(course)
    so_far = np.maximum.accumulate(news)
    must_come = course.must_come.copy()
    must_come[course.fixed[:, 0]] = True
    least = int(so_far[lessons - 1 : lessons].max(initial=0))
    least = max(least, int(so_far[must_come[order]].max(initial=0)))
    for song, lesson in course.fixed.tolist():
        if lesson == 0:
            least = max(least, _new_in(course, song, np.zeros(len(course.lick_sizes), np.bool_)))
    if lessons == len(order):
        least = max(least, -(-int(news.sum()) // lessons))
    return least


def most_reused_from_last(course: Course, lessons: int) -> int:
    """Return how much no order can exceed in re-use from the lesson just before.

    A lick that k songs have is handed on k - 1 times at most; and no song shares more with its two
    neighbours than with the two that share most with it.
    """
    users = np.bincount(course.licks, minlength=len(course.lick_measures))
    by_licks = int((np.minimum(users, lessons) - 1).clip(0) @ course.lick_measures)
    between_songs = course.shared.copy()
    np.fill_diagonal(between_songs, 0)
    with_neighbours = np.sort(np.sort(between_songs, axis=1)[:, -2:].sum(axis=1))
    by_neighbours = int(with_neighbours[-lessons:].sum()) // 2
    return min(by_licks, by_neighbours)


def most_reused(course: Course, lessons: int) -> int:
    """Return how much no choice of so many songs can exceed in re-use from any lesson before.

    The songs with the most licks re-use all that they have, at best.
    """
    known = np.sort(course.sizes - course.singles)
    return int(known[-lessons:].sum())


def greedy_order(course: Course, peak: int) -> NDArray[np.int32]:
    """Order songs one by one: keep limits and peak where possible, share most with the last.

    Returns
    -------
    shape (n,), int32
        Every song once.
    """
    n = len(course.singles)
    seen = np.zeros(len(course.lick_sizes), np.bool_)
    lesson_of = np.full(n, -1)
    order: list[int] = []
    wanted = dict(course.fixed.tolist())
    for lesson in range(n):
        left = np.flatnonzero(lesson_of < 0)
        burden = [
            (
                _broken_by(course, song, order, lesson_of, wanted.get(song, lesson) != lesson),
                max(0, _new_in(course, song, seen) - peak),
                -int(course.shared[order[-1], song]) if order else 0,
                song,
            )
            for song in left.tolist()
        ]
        song = min(burden)[-1]
        order.append(song)
        lesson_of[song] = lesson
        seen[_licks_of(course, song)] = True
    return np.array(order, np.int32)


def _broken_by(
    course: Course, song: int, order: list[int], lesson_of: NDArray[np.int64], misplaced: bool
) -> int:
    predecessors = course.before[course.before[:, 1] == song, 0]
    leap = bool(order) and not course.may_follow[order[-1], song]
    late = not course.must_come[song] and bool((lesson_of[course.must_come] < 0).any())
    return 2 * (int((lesson_of[predecessors] < 0).sum()) + leap + misplaced) + late


def _by_least_new(course: Course) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Take the song with the least new material again and again; what each brought."""
    seen = np.zeros(len(course.lick_sizes), np.bool_)
    left = list(range(len(course.singles)))
    order: list[int] = []
    news: list[int] = []
    while left:
        new, song = min((_new_in(course, song, seen), song) for song in left)
        left.remove(song)
        order.append(song)
        news.append(new)
        seen[_licks_of(course, song)] = True
    return np.array(order, np.int64), np.array(news, np.int64)


def _new_in(course: Course, song: int, seen: NDArray[np.bool_]) -> int:
    licks = _licks_of(course, song)
    return int(course.singles[song] + course.lick_sizes[licks[~seen[licks]]].sum())


def _licks_of(course: Course, song: int) -> NDArray[np.int32]:
    return course.licks[course.lick_starts[song] : course.lick_starts[song + 1]]
