"""The lesson sequence as a CP-SAT model (OR-Tools), for few songs.

A circuit leads from a start node through the songs used and back; each song has a lesson number,
and an atom counts as known only if one of its teachers is in an earlier lesson. Redundant
constraints tighten the bound: of two songs one comes first; of songs that only teach each other an
atom, one cannot know its own; and each lesson has a fixed number of others before and after it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import TypeAlias

import numpy as np
from ortools.sat.python import cp_model

from melodex.kernels.lesson_order import Course
from melodex.lessons.start import teachers_of_atoms

Aim: TypeAlias = cp_model.LinearExprT
Constraint: TypeAlias = cp_model.BoundedLinearExpression | bool

SEED = 1
# Two workers in deterministic interleaving. Measured on books of 20 songs: every aim was proved
# within 3 s; one worker takes up to 9 s or does not finish, and four take 9 s.
WORKERS = 2
TINY = 1e-6  # the solver's bounds are floating-point numbers


@dataclass(frozen=True, slots=True)
class Outcome:
    """The solver's result."""

    order: tuple[int, ...] | None  # the songs used, by index in the course
    impossible: bool
    bound: int | None  # of the aim; None if nothing was found
    effort: float  # deterministic time of the solver, the same on every machine
    stopped_by_clock: bool


class LessonModel:
    """A model of all orders that satisfy the limits.

    Parameters
    ----------
    course : Course
        n songs.
    lessons : int
        The number of songs used.
    """

    def __init__(self, course: Course, lessons: int) -> None:
        self._course, self._lessons = course, lessons
        self._model = cp_model.CpModel()
        self._songs = range(len(course.own_new))
        new, every_song = self._model.new_int_var, lessons == len(self._songs)
        self._taken = [new(int(every_song), 1, "") for _ in self._songs]
        # A song that is not used comes after the last lesson.
        self._lesson = [new(0, lessons - every_song, "") for _ in self._songs]
        self._follows = {
            (a, b): self._model.new_bool_var("")
            for a, b in permutations(self._songs, 2)
            if course.may_follow[a, b]
        }
        self._teachers = [np.flatnonzero(row).tolist() for row in teachers_of_atoms(course)]
        self._song_of = np.repeat(np.arange(len(self._songs)), np.diff(course.starts)).tolist()
        self._earlier: dict[tuple[int, int], cp_model.IntVar] = {}
        self._known = [self._model.new_bool_var("") for _ in self._teachers]
        self.peak = new(0, int(course.most_new), "")
        self._add_circuit()
        self._add_limits()
        for atom, literal in enumerate(self._known):
            self._add_atom(atom, literal)
        self._add_pairs()
        self._add_groups()
        for song in self._songs:
            self._add_peak(song)

    def _when(self, literal: cp_model.LiteralT, constraint: Constraint) -> None:
        """Require a constraint if a literal is true."""
        self._model.add(constraint).only_enforce_if(literal)  # pyright: ignore[reportUnknownMemberType]

    def _add_circuit(self) -> None:
        model, outside = self._model, len(self._songs)
        first = [model.new_bool_var("") for _ in self._songs]
        last = [model.new_bool_var("") for _ in self._songs]
        arcs: list[tuple[int, int, cp_model.LiteralT]] = [
            (a, b, literal) for (a, b), literal in self._follows.items()
        ]
        for song, taken in enumerate(self._taken):
            if not self._course.may_begin[song]:
                model.add(first[song] == 0)
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
        for tune in np.flatnonzero(np.bincount(course.tunes) > 1).tolist():
            versions = np.flatnonzero(course.tunes == tune).tolist()
            self._model.add_at_most_one(self._taken[song] for song in versions)
        for song in np.flatnonzero(~course.turns.all(axis=1)).tolist():
            self._add_turns(song)

    def _add_turns(self, song: int) -> None:
        """Allow a song only where its turn is, or not at all."""
        turns = self._course.turns[song]
        places = [place for place in range(self._lessons) if turns[place % len(turns)]]
        domain = cp_model.Domain.from_values([*places, self._lessons])
        self._model.add_linear_expression_in_domain(self._lesson[song], domain)

    def _add_atom(self, atom: int, literal: cp_model.IntVar) -> None:
        """Allow an atom to be known only if its song is used and any of its teachers is earlier."""
        song = self._song_of[atom]
        self._model.add_implication(literal, self._taken[song])
        self._model.add_bool_or(
            [~literal, *(self._stands_before(a, song) for a in self._teachers[atom])]
        )

    def _stands_before(self, a: int, b: int) -> cp_model.IntVar:
        if (a, b) not in self._earlier:
            literal = self._earlier[a, b] = self._model.new_bool_var("")
            self._when(literal, self._lesson[a] < self._lesson[b])
            self._model.add_implication(literal, self._taken[a])
            self._model.add_implication(literal, self._taken[b])
            if (a, b) in self._follows:
                self._model.add_implication(self._follows[a, b], literal)
        return self._earlier[a, b]

    def _add_pairs(self) -> None:
        """Require that one of two songs comes first, and all others before or after a song."""
        around: list[list[cp_model.IntVar]] = [[] for _ in self._songs]
        for (a, b), literal in self._earlier.items():
            around[a].append(literal)
            around[b].append(literal)
            if (b, a) in self._earlier and a < b:
                self._model.add_at_most_one([literal, self._earlier[b, a]])
        for song in self._songs:
            self._model.add(sum(around[song]) <= (self._lessons - 1) * self._taken[song])

    def _add_groups(self) -> None:
        """Require that of songs that alone teach each other atoms, one does not know its own."""
        course = self._course
        atoms = [range(*course.starts[song : song + 2].tolist()) for song in self._songs]
        groups = {
            frozenset((*self._teachers[atom], song)) for song in self._songs for atom in atoms[song]
        }
        for group in sorted(groups, key=sorted):
            known: list[cp_model.IntVar] = []
            for song in sorted(group):
                within = [a for a in atoms[song] if group.issuperset(self._teachers[a])]
                if within:
                    best = max(within, key=lambda atom: (len(self._teachers[atom]), atom))
                    known.append(self._known[best])
            if len(known) < 2:  # noqa: PLR2004
                continue
            taken = [self._taken[song] for song in sorted(group)]
            for one in taken:
                self._model.add(sum(known) <= sum(taken) - one)

    def _add_peak(self, song: int) -> None:
        course = self._course
        atoms = range(*course.starts[song : song + 2].tolist())
        everything = int(course.own_new[song]) + sum(int(course.new[atom]) for atom in atoms)
        new = everything - sum(int(course.new[atom]) * self._known[atom] for atom in atoms)
        self._when(self._taken[song], new <= self.peak)

    def known(self) -> Aim:
        """Return the sum of known shares of the songs used."""
        course = self._course
        before = [
            int(share) * taken
            for share, taken in zip(course.known_shares, self._taken, strict=True)
        ]
        taught = [
            int(share) * known for share, known in zip(course.shares, self._known, strict=True)
        ]
        return sum(before) + sum(taught)

    def known_from_last(self) -> Aim:
        """Return the sum of shares known from the lesson just before."""
        shares = self._course.from_last
        return sum(int(shares[pair]) * literal for pair, literal in self._follows.items())

    def in_steps(self, aim: Aim, step: int, most: int) -> cp_model.IntVar:
        """Return how many whole steps an aim reaches, given its maximum."""
        steps = self._model.new_int_var(0, most // step, "")
        self._model.add(step * steps <= aim)
        return steps

    def require(self, aim: Aim, least: int) -> None:
        """Require what a more important aim has reached."""
        self._model.add(aim >= least)

    def suggest(self, order: Sequence[int]) -> None:
        """Start the search from an order of the songs used."""
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
        for atom, literal in enumerate(self._known):
            at = lesson.get(self._song_of[atom], -1)
            known = any(lesson.get(teacher, after) < at for teacher in self._teachers[atom])
            model.add_hint(literal, known)

    def solve(
        self,
        aim: Aim | None,
        *,
        least: bool = False,
        effort: float,
        seconds: float,
    ) -> Outcome:
        """Search until an aim is proved optimal or the effort is spent.

        Parameters
        ----------
        aim : expression or None
            The expression to maximise, or to minimise; None to find any order.
        effort : float
            Deterministic seconds of the solver; each takes a machine of 2026 about 1.5 seconds.
        seconds : float
            Time limit.
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
