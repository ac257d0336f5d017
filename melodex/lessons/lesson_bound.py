"""Bounds on what is known in plans with many songs: linear programs solved by OR-Tools GLOP.

In the relaxation, variables for the songs used, their pairwise order and what is known may be
fractional, and precedence may be cyclic. Every order satisfies the constraints, so none exceeds the
bound. Two constraints keep a few fractionally used teachers from making everything known: of two
songs in the plan one comes first, and a song has all other lessons before or after it.
"""

import math
from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
from ortools.linear_solver import pywraplp

from melodex.kernels.lesson_order import Course
from melodex.lessons.start import teachers_of_atoms

Linear: TypeAlias = Any  # an expression of the solver, whose module is untyped
TINY = 1e-6  # relative error tolerated by the solver
# Takes 0.7 s for 12 lessons out of 150 bundled tunes, against 9 s with the solver's defaults.
FASTEST = "use_dual_simplex: true use_preprocessing: false"


class LessonBound:
    """The linear relaxation of all orders of a course.

    Parameters
    ----------
    course : Course
        n songs.
    lessons : int
        The number of songs used.
    """

    def __init__(self, course: Course, lessons: int) -> None:
        self._course, self._lessons = course, lessons
        # The solver's Python module is untyped.
        create: Any = pywraplp.Solver.CreateSolver  # pyright: ignore
        self._solver: Any = create("GLOP")
        self._solver.SetSolverSpecificParametersAsString(FASTEST)
        self._songs = range(len(course.own_new))
        self._taken = [self._new() for _ in self._songs]
        self._first = [self._new() for _ in self._songs]
        self._earlier: dict[tuple[int, int], Linear] = {}
        self._follows: dict[tuple[int, int], Linear] = {}
        self._add_songs()
        self._known = self._add_atoms()
        self._add_pairs()

    def _new(self) -> Linear:
        return self._solver.NumVar(0, 1, "")

    def _add_songs(self) -> None:
        solver, course = self._solver, self._course
        solver.Add(sum(self._taken) == self._lessons)
        solver.Add(sum(self._first) == 1)
        for song in self._songs:
            solver.Add(self._first[song] <= self._taken[song] * int(course.may_begin[song]))
        self._add_turns()
        for song in {*np.flatnonzero(course.must_come).tolist(), *course.fixed[:, 0].tolist()}:
            solver.Add(self._taken[song] == 1)
        for tune in np.flatnonzero(np.bincount(course.tunes) > 1).tolist():
            versions = np.flatnonzero(course.tunes == tune).tolist()
            solver.Add(sum(self._taken[song] for song in versions) <= 1)

    def _add_turns(self) -> None:
        """Take as many songs that may have a turn as lessons have it, and none that has no turn."""
        solver, turns = self._solver, self._course.turns
        lessons_of = np.bincount(
            np.arange(self._lessons) % turns.shape[1], minlength=turns.shape[1]
        )
        for turn, lessons in enumerate(lessons_of.tolist()):
            may_come = np.flatnonzero(turns[:, turn]).tolist()
            solver.Add(sum(self._taken[song] for song in may_come) >= lessons)
        for song in self._songs:
            solver.Add(self._first[song] <= int(turns[song, 0]))
            solver.Add(self._taken[song] <= int(turns[song].any()))

    def _add_atoms(self) -> list[tuple[int, Linear]]:
        """Limit what is known of an atom to the fraction of its teachers before its song."""
        course = self._course
        song_of = np.repeat(np.arange(len(self._songs)), np.diff(course.starts)).tolist()
        known: list[tuple[int, Linear]] = []
        for atom, of_atom in enumerate(teachers_of_atoms(course)):
            teachers, song = np.flatnonzero(of_atom).tolist(), song_of[atom]
            if teachers:
                literal = self._new()
                earlier = [self._stands_before(teacher, song) for teacher in teachers]
                self._solver.Add(literal <= sum(earlier))
                self._solver.Add(literal <= self._taken[song] - self._first[song])
                known.append((int(course.shares[atom]), literal))
        return known

    def _stands_before(self, a: int, b: int) -> Linear:
        if (a, b) not in self._earlier:
            self._earlier[a, b] = self._new()
        return self._earlier[a, b]

    def _add_pairs(self) -> None:
        solver, taken = self._solver, self._taken
        around: list[list[Linear]] = [[] for _ in self._songs]
        for (a, b), earlier in self._earlier.items():
            around[a].append(earlier)
            around[b].append(earlier)
            solver.Add(earlier <= taken[b] - self._first[b])
            either = earlier + self._earlier[b, a] if (b, a) in self._earlier else earlier
            solver.Add(either <= taken[a])
            solver.Add(either <= taken[b])
        for song in self._songs:
            solver.Add(sum(around[song]) <= (self._lessons - 1) * taken[song])

    def most_known(self, seconds: float) -> int | None:
        """Return an upper bound on the sum of known shares; None if time ran out."""
        return self._most(self._sum_known(), seconds)

    def most_known_from_last(self, least_known: int, seconds: float) -> int | None:
        """Bound the share from the lesson just before, for orders with at least so much known."""
        course, solver = self._course, self._solver
        solver.Add(self._sum_known() >= least_known)
        before: list[list[Linear]] = [[] for _ in self._songs]
        after: list[list[Linear]] = [[] for _ in self._songs]
        terms: list[Linear] = []
        for a, b in np.argwhere(course.from_last * course.may_follow).tolist():
            if a != b:
                follows = self._new()
                before[b].append(follows)
                after[a].append(follows)
                terms.append(int(course.from_last[a, b]) * follows)
                if (a, b) in self._earlier:
                    solver.Add(follows <= self._earlier[a, b])
        for song in self._songs:
            solver.Add(sum(before[song]) <= self._taken[song] - self._first[song])
            solver.Add(sum(after[song]) <= self._taken[song])
        return self._most(sum(terms), seconds)

    def _sum_known(self) -> Linear:
        known_before: Sequence[int] = self._course.known_shares.tolist()
        return sum(
            share * literal
            for share, literal in (*self._known, *zip(known_before, self._taken, strict=True))
        )

    def _most(self, aim: Linear, seconds: float) -> int | None:
        solver = self._solver
        solver.Maximize(aim)
        solver.SetTimeLimit(max(1, int(1000 * seconds)))
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        value: float = solver.Objective().Value()
        return math.floor(value * (1 + TINY))
