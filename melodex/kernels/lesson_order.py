"""Evaluate orders of songs, and search for better ones by simulated annealing.

An order contains every song once. The first ``lessons`` of them are taught, the others are not
used.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

BROKEN, OVER, KNOWN, BEFORE, PEAK = 0, 1, 2, 3, 4  # indices in a judgement
EXCHANGE, TURN, MOVE_ONE = 0, 1, 2  # changes of an order; any other number moves two or three songs
# Weights of the annealing energy, in 1/10,000 of a song. Breaking a limit must cost more than a
# lesson usually gains by it.
BROKEN_WEIGHT = 2_000.0
PEAK_WEIGHT = 0.02  # a tick
BITS = 6  # a word has 2 ** 6 bits


class Goal(NamedTuple):
    """The objective of an order."""

    lessons: int
    enough: int  # sum of known shares above which more does not count
    before_weight: float  # weight of what the lesson just before teaches, relative to what is known
    grain: int  # sums of shares that differ by less count as equal


class Course(NamedTuple):
    """What n songs teach, and how they may follow each other.

    An atom is a piece of a song that is known once any of its teachers was taught. Shares are in
    1/10,000 of a song's time, new material in ticks, 48 to a quarter note.
    """

    starts: NDArray[np.int32]  # shape (n + 1,): the start of each song's atoms
    teachers: NDArray[np.uint64]  # shape (n_atoms, words): bit set of songs
    shares: NDArray[np.int32]  # shape (n_atoms,): share of its song
    new: NDArray[np.int32]  # shape (n_atoms,): ticks to learn in it
    known_shares: NDArray[np.int32]  # shape (n,): share known before the first lesson
    own_new: NDArray[np.int32]  # shape (n,): ticks to learn that no other song teaches
    from_last: NDArray[np.int32]  # shape (n, n): share of the second song that the first teaches
    tunes: NDArray[np.int32]  # shape (n,): at most one song of each tune is used
    may_begin: NDArray[np.bool_]  # shape (n,): may be in the first lesson
    may_follow: NDArray[np.bool_]  # shape (n, n): the second may come directly after the first
    before: NDArray[np.int32]  # shape (m, 2): the first must be earlier than the second
    fixed: NDArray[np.int32]  # shape (k, 2): song, and its required index
    must_come: NDArray[np.bool_]  # shape (n,)
    turns: NDArray[np.bool_]  # shape (n, k): whether a song may have index p, at p modulo k
    most_new: int
    unit: int  # ticks of new material above its limit that count as one broken limit


@compiled
def evaluate_order(order: NDArray[np.int32], lessons: int, course: Course) -> NDArray[np.int64]:
    """Evaluate an order; O(atoms of its songs + limits).

    Returns
    -------
    shape (5,), int64
        The number and degree of broken limits; new material above ``most_new``, over all lessons;
        the sum of known shares; the sum of shares known from the lesson just before; the peak of
        new material.
    """
    result = np.zeros(5, np.int64)
    met = np.zeros(course.teachers.shape[1], np.uint64)
    lesson = np.full(len(order), -1, np.int64)
    had_tune = np.zeros(len(order), np.bool_)
    for p in range(lessons):
        song = order[p]
        lesson[song] = p
        new, known = course.own_new[song], course.known_shares[song]
        for atom in range(course.starts[song], course.starts[song + 1]):
            is_known = False
            for word in range(len(met)):
                is_known |= (met[word] & course.teachers[atom, word]) != 0
            if is_known:
                known += course.shares[atom]
            else:
                new += course.new[atom]
        met[song >> BITS] |= np.uint64(1) << np.uint64(song & (2**BITS - 1))
        result[PEAK] = max(result[PEAK], new)
        result[OVER] += max(0, new - course.most_new)
        result[BROKEN] += (max(0, new - course.most_new) + course.unit - 1) // course.unit
        result[KNOWN] += known
        has_turn = course.turns[song, p % course.turns.shape[1]]
        may_come = course.may_follow[order[p - 1], song] if p else course.may_begin[song]
        result[BROKEN] += had_tune[course.tunes[song]] + (not has_turn) + (not may_come)
        had_tune[course.tunes[song]] = True
        if p:
            result[BEFORE] += course.from_last[order[p - 1], song]
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
    goal: Goal,
    moves: int,
    temperatures: tuple[float, float],
    seed: int,
    course: Course,
) -> NDArray[np.int32]:
    """Improve an order by simulated annealing; O(moves) judgements, the same for the same seed.

    Moves swap songs, shift one or several, and reverse stretches. Limits come first, then what is
    known, what is known from the lesson just before, and new material.

    Parameters
    ----------
    orders : shape (2, n), int32
        The best order so far, and the one to continue from.
    temperatures : (float, float)
        The first and the last, in 1/10,000 of a song; cooling is geometric.

    Returns
    -------
    shape (2, n), int32
        The best order found, never worse than the given one, and the last one.

    Source
    ------
    Kirkpatrick, Gelatt & Vecchi, "Optimization by simulated annealing", Science 220 (1983) 671-680
    (from memory).
    """
    best, now = orders[0].copy(), orders[1].copy()
    best_judged = evaluate_order(best, goal.lessons, course)
    energy = _energy(evaluate_order(now, goal.lessons, course), goal)
    hottest, coldest = temperatures
    state = np.uint64(seed * 2 + 1)
    for move in range(moves):
        temperature = hottest * (coldest / hottest) ** (move / moves)
        state = _next_random(state)
        tried = _neighbour(now, goal.lessons, state)
        judged = evaluate_order(tried, goal.lessons, course)
        tried_energy = _energy(judged, goal)
        state = _next_random(state)
        chance = (state >> np.uint64(11)) / 2.0**53
        if tried_energy <= energy or chance < np.exp((energy - tried_energy) / temperature):
            now, energy = tried, tried_energy
            if is_better(judged, best_judged, goal.grain):
                best, best_judged = tried.copy(), judged
    return np.stack((best, now))


@compiled
def is_better(one: NDArray[np.int64], other: NDArray[np.int64], grain: int) -> bool:
    """Return whether one judgement is better: limits, then aim by aim; O(1).

    Sums of shares are compared in steps of the grain; smaller differences only break ties.
    """
    if one[BROKEN] != other[BROKEN]:
        return bool(one[BROKEN] < other[BROKEN])
    for place in (KNOWN, BEFORE):
        if one[place] // grain != other[place] // grain:
            return bool(one[place] > other[place])
    if one[PEAK] != other[PEAK]:
        return bool(one[PEAK] < other[PEAK])
    if one[KNOWN] != other[KNOWN]:
        return bool(one[KNOWN] > other[KNOWN])
    return bool(one[BEFORE] > other[BEFORE])


@compiled
def _energy(judged: NDArray[np.int64], goal: Goal) -> np.float64:
    lacking = max(0, goal.enough - judged[KNOWN]) - goal.before_weight * judged[BEFORE]
    energy: np.float64 = BROKEN_WEIGHT * judged[BROKEN] + PEAK_WEIGHT * judged[PEAK] + lacking
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
    """Return an order with a random change: songs swapped, a stretch reversed or moved."""
    one = int((state >> np.uint64(4)) % np.uint64(lessons))
    other = int((state >> np.uint64(20)) % np.uint64(len(order)))
    kind = int((state >> np.uint64(40)) % np.uint64(4))
    tried = order.copy()
    if kind == EXCHANGE or other >= lessons:
        tried[one], tried[other] = order[other], order[one]
        if kind == EXCHANGE or other < lessons:
            return tried
        order = tried.copy()  # an unused song enters, at a different lesson
        other = int((state >> np.uint64(48)) % np.uint64(lessons))
        kind = MOVE_ONE
    first, end = min(one, other), max(one, other) + 1
    if kind == TURN:
        tried[first:end] = order[first:end][::-1]
        return tried
    length = 1 if kind == MOVE_ONE else 2 + int((state >> np.uint64(44)) % np.uint64(2))
    length = min(length, end - first - 1)
    if one < other:  # the first songs of the stretch move to its end
        tried[first : end - length] = order[first + length : end]
        tried[end - length : end] = order[first : first + length]
    else:
        tried[first : first + length] = order[end - length : end]
        tried[first + length : end] = order[first : end - length]
    return tried
