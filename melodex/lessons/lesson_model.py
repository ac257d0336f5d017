"""The lesson sequence as a model of OR-Tools CP-SAT; the only import of that library.

A circuit runs from a place before the first lesson through the songs that are taken and back; each
song knows its lesson, and a lick counts as known in a song only if another song that has it stands
in an earlier lesson. Songs without more material than the peak allows need no such account, which
keeps the model small.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import TypeAlias

from ortools.sat.python import cp_model

from melodex.kernels.lesson_order import Course

Aim: TypeAlias = cp_model.LinearExprT
Constraint: TypeAlias = cp_model.BoundedLinearExpression | bool

SEED = 1
# Two workers in deterministic alternation. Measured on books of 20 songs: every aim proved within
# 3 s, where one worker alone takes up to 9 s or does not finish, and four take 9 s.
WORKERS = 2
TINY = 1e-6  # the solver's bounds are floating-point numbers


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the solver found."""

    order: tuple[int, ...] | None  # the songs taken, by their place in the course
    impossible: bool
    bound: int | None  # of the aim; None where nothing was found
    effort: float  # the solver's deterministic seconds, the same on every machine
    stopped_by_clock: bool


class LessonModel:
    """All orders that keep the limits and whose peak lies between two values.

    Parameters
    ----------
    course : Course
        n songs.
    lessons : int
        How many of them are taken.
    peaks : (int, int)
        The least and the most that the peak of new material may be.
    """

    def __init__(self, course: Course, lessons: int, peaks: tuple[int, int]) -> None:
        self._course, self._lessons = course, lessons
        self._model = cp_model.CpModel()
        self._songs = range(len(course.singles))
        new, every_song = self._model.new_int_var, lessons == len(self._songs)
        self._taken = [new(int(every_song), 1, "") for _ in self._songs]
        # A song that is left out stands after the last lesson.
        self._lesson = [new(0, lessons - every_song, "") for _ in self._songs]
        self._follows = {
            (a, b): self._model.new_bool_var("")
            for a, b in permutations(self._songs, 2)
            if course.may_follow[a, b]
        }
        self._earlier: dict[tuple[int, int], cp_model.IntVar] = {}
        self._known: dict[tuple[int, int], cp_model.IntVar] = {}  # by lick and song
        self._met = [new(0, 1, "") for _ in course.lick_sizes]
        self.peak = new(*peaks, "")
        self._users = [
            [song for song in self._songs if lick in self._licks_of(song)]
            for lick in range(len(course.lick_sizes))
        ]
        self._add_circuit()
        self._add_limits()
        self._add_licks()
        for song in self._songs:
            self._add_peak(song, peaks[0])

    def _licks_of(self, song: int) -> list[int]:
        starts = self._course.lick_starts
        licks: list[int] = self._course.licks[starts[song] : starts[song + 1]].tolist()
        return licks

    def _when(self, literal: cp_model.LiteralT, constraint: Constraint) -> None:
        """Ask for a constraint where a literal holds."""
        self._model.add(constraint).only_enforce_if(literal)  # pyright: ignore[reportUnknownMemberType]

    def _add_circuit(self) -> None:
        model, outside = self._model, len(self._songs)
        first = [model.new_bool_var("") for _ in self._songs]
        last = [model.new_bool_var("") for _ in self._songs]
        arcs: list[tuple[int, int, cp_model.LiteralT]] = [
            (a, b, literal) for (a, b), literal in self._follows.items()
        ]
        for song, taken in enumerate(self._taken):
            arcs += [(outside, song, first[song]), (song, outside, last[song])]
            arcs.append((song, song, ~taken))
            self._when(first[song], self._lesson[song] == 0)
            self._when(last[song], self._lesson[song] == self._lessons - 1)
            self._when(taken, self._lesson[song] < self._lessons)
            self._when(~taken, self._lesson[song] == self._lessons)
        for (a, b), literal in self._follows.items():
            self._when(literal, self._lesson[b] == self._lesson[a] + 1)
        model.add_circuit(arcs)
        model.add(sum(self._taken) == self._lessons)
        self._ends = first, last

    def _add_limits(self) -> None:
        course = self._course
        for song in self._songs:
            if course.must_come[song]:
                self._model.add(self._taken[song] == 1)
        fixed: list[tuple[int, int]] = course.fixed.tolist()
        for song, lesson in fixed:
            self._model.add(self._taken[song] == 1)
            self._model.add(self._lesson[song] == lesson)
        before: list[tuple[int, int]] = course.before.tolist()
        for a, b in before:
            self._when(self._taken[a], self._lesson[a] < self._lesson[b])

    def _add_licks(self) -> None:
        """Tell which licks are met at all; k songs with a lick hand it on k - 1 times at most."""
        for met, users in zip(self._met, self._users, strict=True):
            taken = [self._taken[song] for song in users]
            for song in taken:
                self._model.add(met >= song)
            within = [
                self._follows[pair] for pair in permutations(users, 2) if pair in self._follows
            ]
            self._model.add(sum(within) <= sum(taken) - met)

    def _add_peak(self, song: int, lowest_peak: int) -> None:
        sizes, licks = self._course.lick_sizes, self._licks_of(song)
        everything = int(self._course.singles[song] + sizes[licks].sum())
        if everything <= min(lowest_peak, self._course.most_new):
            return
        known = {lick: self._known_before(lick, song) for lick in licks if sizes[lick]}
        new = everything - sum(int(sizes[lick]) * literal for lick, literal in known.items())
        taken = self._taken[song]
        self._when(taken, new <= self.peak)
        self._when(taken, new <= self._course.most_new)

    def _known_before(self, lick: int, song: int) -> cp_model.IntVar:
        literal = self._known[lick, song] = self._model.new_bool_var("")
        others = [other for other in self._users[lick] if other != song]
        self._model.add_bool_or([~literal, *(self._stands_before(a, song) for a in others)])
        return literal

    def _stands_before(self, a: int, b: int) -> cp_model.IntVar:
        if (a, b) not in self._earlier:
            literal = self._earlier[a, b] = self._model.new_bool_var("")
            self._when(literal, self._lesson[a] < self._lesson[b])
            if (a, b) in self._follows:
                self._model.add_implication(self._follows[a, b], literal)
            if (b, a) in self._earlier:
                self._model.add_at_most_one([literal, self._earlier[b, a]])
        return self._earlier[a, b]

    def reused_from_last(self) -> Aim:
        """Sum what each lesson re-uses from the one just before."""
        shared = self._course.shared
        return sum(int(shared[pair]) * literal for pair, literal in self._follows.items())

    def reused_in_all(self) -> Aim:
        """Sum what the lessons re-use from any lesson before: all that is not new."""
        course = self._course
        sizes: list[int] = [
            *(course.sizes - course.singles).tolist(),
            *(-course.lick_sizes).tolist(),
        ]
        variables = [*self._taken, *self._met]
        terms = [size * variable for size, variable in zip(sizes, variables, strict=True)]
        return sum(terms)

    def require(self, constraint: Constraint) -> None:
        """Keep what an aim of more importance has reached."""
        self._model.add(constraint)

    def suggest(self, order: Sequence[int]) -> None:
        """Let the search begin at an order of the songs taken."""
        model = self._model
        lesson = {song: place for place, song in enumerate(order)}
        for song in self._songs:
            model.add_hint(self._taken[song], song in lesson)
            model.add_hint(self._lesson[song], lesson.get(song, self._lessons))
            model.add_hint(self._ends[0][song], song == order[0])
            model.add_hint(self._ends[1][song], song == order[-1])
        after = self._lessons
        for (a, b), literal in self._follows.items():
            model.add_hint(literal, a in lesson and lesson.get(b, -1) == lesson[a] + 1)
        for (a, b), literal in self._earlier.items():
            model.add_hint(literal, lesson.get(a, after) < lesson.get(b, after))
        for (lick, song), literal in self._known.items():
            at = lesson.get(song, after)
            known = any(lesson.get(o, after) < at for o in self._users[lick] if o != song)
            model.add_hint(literal, known)
        for met, users in zip(self._met, self._users, strict=True):
            model.add_hint(met, any(song in lesson for song in users))

    def solve(
        self,
        aim: Aim | None,
        *,
        least: bool = False,
        effort: float,
        seconds: float,
    ) -> Outcome:
        """Search until an aim is proved best or the effort is spent.

        Parameters
        ----------
        aim : expression or None
            What is to be as large as possible, or as small; None looks for any order.
        effort : float
            Deterministic seconds, about what a machine of 2026 does in one and a half of its own.
        seconds : float
            When to stop all the same.
        """
        if aim is not None and least:
            self._model.minimize(aim)
        elif aim is not None:
            self._model.maximize(aim)
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = SEED
        solver.parameters.num_workers = WORKERS
        solver.parameters.interleave_search = True
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = effort
        solver.parameters.max_time_in_seconds = seconds
        status = solver.solve(self._model)
        found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        spent = solver.response_proto.deterministic_time
        bound = solver.best_objective_bound
        whole_bound = math.ceil(bound - TINY) if least else math.floor(bound + TINY)
        return Outcome(
            order=self._order_of(solver) if found else None,
            impossible=status == cp_model.INFEASIBLE,
            bound=whole_bound if found else None,
            effort=spent,
            stopped_by_clock=status in (cp_model.FEASIBLE, cp_model.UNKNOWN) and spent < effort,
        )

    def _order_of(self, solver: cp_model.CpSolver) -> tuple[int, ...]:
        taken = [song for song in self._songs if solver.value(self._taken[song])]
        return tuple(sorted(taken, key=lambda song: solver.value(self._lesson[song])))
