"""Orders of songs: what is new and what returns lesson by lesson, and the search for better ones.

An order lists every song once. The first ``lessons`` of them are taught, the others are left out.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

BROKEN, OVER, PEAK, BEFORE, EARLIER = 0, 1, 2, 3, 4  # places in a judgement
EXCHANGE, TURN, MOVE_ONE = 0, 1, 2  # changes of an order; any other number moves two or three
# Weights of the search's energy in measures of re-use. A broken limit or a measure over the wanted
# peak must cost more than a lesson usually gains; measured on books of 60 songs.
BROKEN_WEIGHT, OVER_WEIGHT, EARLIER_WEIGHT = 24.0, 6.0, 0.05


class Course(NamedTuple):
    """What n songs teach and how they may follow each other; material in measures."""

    lick_starts: NDArray[np.int32]  # shape (n + 1,): where each song's licks begin in ``licks``
    licks: NDArray[np.int32]
    lick_measures: NDArray[np.int32]  # shape (n_licks,): the length of each
    lick_sizes: NDArray[np.int32]  # shape (n_licks,): what is to learn of it: 0 if known before
    singles: NDArray[np.int32]  # shape (n,): single measures to learn
    sizes: NDArray[np.int32]  # shape (n,): all material, also what is known before
    shared: NDArray[np.int32]  # shape (n, n): material that two songs share
    may_follow: NDArray[np.bool_]  # shape (n, n): the second just after the first
    before: NDArray[np.int32]  # shape (m, 2): the first earlier than the second
    fixed: NDArray[np.int32]  # shape (k, 2): song, and the lesson, from 0, that it must have
    must_come: NDArray[np.bool_]  # shape (n,)
    most_new: int


@compiled
def judge_order(
    order: NDArray[np.int32], lessons: int, wanted_peak: int, course: Course
) -> NDArray[np.int64]:
    """Measure an order; O(licks of its songs + limits).

    Returns
    -------
    shape (5,), int64
        How often and how far limits are broken; measures above ``wanted_peak``, over all lessons;
        the most new material of a lesson; what is re-used from the lesson just before; what from
        earlier lessons.
    """
    result = np.zeros(5, np.int64)
    seen = np.zeros(len(course.lick_sizes), np.bool_)
    lesson = np.full(len(order), -1, np.int64)
    for p in range(lessons):
        song = order[p]
        lesson[song] = p
        new = course.singles[song]
        for place in range(course.lick_starts[song], course.lick_starts[song + 1]):
            lick = course.licks[place]
            if not seen[lick]:
                seen[lick] = True
                new += course.lick_sizes[lick]
        result[PEAK] = max(result[PEAK], new)
        result[OVER] += max(0, new - wanted_peak)
        result[BROKEN] += max(0, new - course.most_new)
        result[EARLIER] += course.sizes[song] - new
        if p:
            result[BEFORE] += course.shared[order[p - 1], song]
            result[BROKEN] += not course.may_follow[order[p - 1], song]
    result[EARLIER] -= result[BEFORE]
    for song in range(len(order)):
        result[BROKEN] += course.must_come[song] and lesson[song] < 0
    for place in range(len(course.fixed)):
        song, wanted = course.fixed[place]
        result[BROKEN] += abs(lesson[song] - wanted) if lesson[song] >= 0 else lessons
    for pair in range(len(course.before)):
        a, b = lesson[course.before[pair, 0]], lesson[course.before[pair, 1]]
        result[BROKEN] += a >= 0 and b >= 0 and a > b
    return result


@compiled
def improve_order(
    orders: NDArray[np.int32],
    lessons: int,
    wanted_peak: int,
    moves: int,
    temperatures: tuple[float, float],
    seed: int,
    course: Course,
) -> NDArray[np.int32]:
    """Improve an order by simulated annealing; O(moves) judgements, the same for the same seed.

    Songs are exchanged, moved singly or several together, and stretches are turned round. Limits
    come first, then the peak down to ``wanted_peak``, then re-use.

    Parameters
    ----------
    orders : shape (2, n), int32
        The best order so far, and the one to go on from.
    temperatures : (float, float)
        The first and the last, in measures of re-use; it falls by equal ratios.

    Returns
    -------
    shape (2, n), int32
        The best order met, never worse than the one given, and the last one.

    Source
    ------
    Kirkpatrick, Gelatt & Vecchi, "Optimization by simulated annealing", Science 220 (1983)
    671-680 (from memory).
    """
    best, now = orders[0].copy(), orders[1].copy()
    best_judged = judge_order(best, lessons, wanted_peak, course)
    energy = _energy(judge_order(now, lessons, wanted_peak, course))
    hottest, coldest = temperatures
    state = np.uint64(seed * 2 + 1)
    for move in range(moves):
        temperature = hottest * (coldest / hottest) ** (move / moves)
        state = _next_random(state)
        tried = _neighbour(now, lessons, state)
        judged = judge_order(tried, lessons, wanted_peak, course)
        tried_energy = _energy(judged)
        state = _next_random(state)
        chance = (state >> np.uint64(11)) / 2.0**53
        if tried_energy <= energy or chance < np.exp((energy - tried_energy) / temperature):
            now, energy = tried, tried_energy
            if is_better(judged, best_judged):
                best, best_judged = tried.copy(), judged
    return np.stack((best, now))


@compiled
def is_better(one: NDArray[np.int64], other: NDArray[np.int64]) -> bool:
    """Whether a judgement is the better one: limits, peak, re-use; O(1)."""
    for place in (BROKEN, PEAK, BEFORE, EARLIER):
        if one[place] != other[place]:
            return bool(one[place] > other[place]) == (place in (BEFORE, EARLIER))
    return False


@compiled
def _energy(judged: NDArray[np.int64]) -> np.float64:
    limits = BROKEN_WEIGHT * judged[BROKEN] + OVER_WEIGHT * judged[OVER]
    energy: np.float64 = limits - judged[BEFORE] - EARLIER_WEIGHT * judged[EARLIER]
    return energy


@compiled
def _next_random(state: np.uint64) -> np.uint64:
    """Step a 64-bit xorshift generator; Marsaglia, J. Stat. Software 8/14 (2003), from memory."""
    state ^= state << np.uint64(13)
    state ^= state >> np.uint64(7)
    state ^= state << np.uint64(17)
    return state


@compiled
def _neighbour(order: NDArray[np.int32], lessons: int, state: np.uint64) -> NDArray[np.int32]:
    """Change an order at random: exchange two songs, turn a stretch round, or move it."""
    one = int((state >> np.uint64(4)) % np.uint64(lessons))
    other = int((state >> np.uint64(20)) % np.uint64(len(order)))
    kind = int((state >> np.uint64(40)) % np.uint64(4))
    tried = order.copy()
    if kind == EXCHANGE or other >= lessons:
        tried[one], tried[other] = order[other], order[one]
        return tried
    first, end = min(one, other), max(one, other) + 1
    if kind == TURN:
        tried[first:end] = order[first:end][::-1]
        return tried
    length = 1 if kind == MOVE_ONE else 2 + int((state >> np.uint64(44)) % np.uint64(2))
    length = min(length, end - first - 1)
    if one < other:  # the first songs of the stretch go to its end
        tried[first : end - length] = order[first + length : end]
        tried[end - length : end] = order[first : first + length]
    else:
        tried[first : first + length] = order[end - length : end]
        tried[first + length : end] = order[first : end - length]
    return tried
