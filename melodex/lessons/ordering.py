"""Find the best order of songs, with a proof of optimality or a bound."""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from melodex.errors import PlanError
from melodex.features.skeleton import ONSET_GRID
from melodex.kernels.lesson_order import (
    BEFORE,
    BROKEN,
    KNOWN,
    PEAK,
    Course,
    Goal,
    evaluate_order,
    improve_order,
    is_better,
)
from melodex.lessons.atoms import WHOLE_SONG
from melodex.lessons.lesson_bound import LessonBound
from melodex.lessons.lesson_model import Aim, LessonModel
from melodex.lessons.start import greedy_order, least_peak, most_known, most_known_from_last
from melodex.model.results.lesson import KNOWN_AIM, LAST_AIM, PEAK_AIM, Stage

# How the user's time is divided. Work is counted, not timed, so that the result does not depend on
# how busy a machine is; the clock only stops work that would exceed the time allowed. On 12 lessons
# out of 150 songs, one idle core of 2026 does 340,000 moves a second, and the bound's linear
# programs take about 8 s, whatever the time allowed.
MOVES_A_SECOND = 60_000
SHARE_OF_ANNEALING = 0.35  # maximum for each of the first two aims
# In 1/10,000 of a song. On 150 bundled tunes, four of eight annealing runs of 400,000 moves ended
# within half a percent of the best known order; with 200 instead of 100 fewer did.
HOTTEST, COLDEST = 1_000.0, 100.0
COOLINGS = 8
# Weights of what the lesson just before teaches: while maximising what is known, and afterwards.
# With a large weight from the start, 73.2 % known was the best found on those tunes, not 74.4 %.
LITTLE, MUCH = 0.05, 0.25
SLICES = 12  # of an annealing run; the clock is checked between them
MOVES_A_PAIR = 250  # of songs: enough for few songs
EFFORT_A_SECOND = 0.4  # deterministic CP-SAT seconds; each takes one to three on a busy machine
LEAST_SECONDS = 1.0  # with less, no linear program is built
SMALL = 25  # songs: up to this many CP-SAT proves optimality; beyond, linear programs give bounds
SHARE_OF_FIRST_AIM, SHARE_OF_SECOND_AIM = 0.6, 0.6  # of the effort; the last aim gets the rest
# A mean share is only compared in whole percent: otherwise a hundredth of a percent more known
# would outweigh whole passages from the lesson just before.
GRAIN = WHOLE_SONG // 100
STAGE_DIGITS = 8  # enough to represent means of integer shares
SEED = 1
# Limits for finding out whether any order exists.
MOVES_TO_BE_POSSIBLE, EFFORT_TO_BE_POSSIBLE, SECONDS_TO_BE_POSSIBLE = 100_000, 5.0, 30.0


@dataclass(frozen=True, slots=True)
class Ordering:
    """The songs used, by index in the course, and how good their order is."""

    order: tuple[int, ...]
    stages: tuple[Stage, ...]
    stopped_by_clock: bool


class NoOrderError(Exception):
    """No order satisfies the limits; the caller determines which of them conflict."""


def best_order(course: Course, lessons: int, *, seconds: float) -> Ordering:
    """Order songs by these aims: limits, most known, most from the lesson before, least peak.

    A greedy order is improved by simulated annealing, then by CP-SAT, which also proves bounds.
    Work is counted in moves and deterministic seconds, so the same course and time give the same
    order, unless time ran out.

    Parameters
    ----------
    course : Course
        n songs, at least one.
    lessons : int
        The number of songs used, 1 to n.
    seconds : float
        The time allowed.

    Raises
    ------
    NoOrderError
        If no order satisfies the limits.
    PlanError
        If no order was found in the time allowed.
    """
    search = _Search(course, lessons, seconds)
    search.begin()
    search.raise_known()
    search.raise_known_from_last()
    search.lower_peak()
    return Ordering(tuple(search.taken), search.stages(), search.stopped_by_clock)


def stages_of(reached: Sequence[int], bounds: Sequence[int], lessons: int) -> tuple[Stage, ...]:
    """Convert sums of shares to means of 0 to 1, and ticks to quarter notes.

    Parameters
    ----------
    reached, bounds : sequence of int
        Sums of shares known, and known from the lesson just before; then the peak of new material.
    """
    units = (WHOLE_SONG * lessons, WHOLE_SONG * lessons, ONSET_GRID)
    return tuple(
        Stage(aim, round(value / unit, STAGE_DIGITS), round(bound / unit, STAGE_DIGITS))
        for aim, value, bound, unit in zip(
            (KNOWN_AIM, LAST_AIM, PEAK_AIM), reached, bounds, units, strict=True
        )
    )


class _Search:
    """The best order so far, and the remaining time and effort."""

    def __init__(self, course: Course, lessons: int, seconds: float) -> None:
        self.course, self.lessons = course, lessons
        self.grain = GRAIN * lessons
        self.stopped_by_clock = False
        self.order = greedy_order(course)
        begun = time.monotonic()
        self.end = begun + seconds
        self.small = len(self.order) <= SMALL
        self.effort = seconds * EFFORT_A_SECOND
        self.seconds_of_annealing = SHARE_OF_ANNEALING * seconds
        self.moves = int(MOVES_A_SECOND * seconds)
        if self.small:
            self.moves = min(self.moves, MOVES_A_PAIR * len(self.order) ** 2)
        self.bounds = [
            most_known(course, lessons),
            most_known_from_last(course, lessons),
            least_peak(course, lessons),
        ]

    def settled(self, aim: int) -> bool:
        """Return whether an aim cannot be improved any more, at the precision that counts."""
        value, bound = self.judged((KNOWN, BEFORE)[aim]), self.bounds[aim]
        return not self.judged(BROKEN) and value // self.grain == bound // self.grain

    @property
    def taken(self) -> list[int]:
        """The songs used, in order."""
        taken: list[int] = self.order[: self.lessons].tolist()
        return taken

    def begin(self) -> None:
        """Anneal the greedy order, and find out whether the limits can be satisfied at all."""
        if self.bounds[2] > self.course.most_new:
            raise NoOrderError
        self.anneal(self.bounds[0], LITTLE)

    def raise_known(self) -> None:
        """Maximise the sum of known shares within the limits."""
        if self.settled(0):
            return
        if self.small or self.judged(BROKEN):
            model = LessonModel(self.course, self.lessons)
            steps = model.in_steps(model.known(), self.grain, self.bounds[0])
            self.lower_steps(0, self.solve(model, steps, effort=SHARE_OF_FIRST_AIM * self.effort))
        if not self.small and self.seconds_left > LEAST_SECONDS:
            self.lower(0, LessonBound(self.course, self.lessons).most_known(self.seconds_left))

    def raise_known_from_last(self) -> None:
        """Maximise the share from the lesson just before, keeping what is known."""
        enough = self.in_whole_steps(KNOWN)
        self.anneal(enough, MUCH)
        if self.settled(1):
            return
        if self.small:
            model = LessonModel(self.course, self.lessons)
            model.require(model.known(), enough)
            steps = model.in_steps(model.known_from_last(), self.grain, self.bounds[1])
            self.lower_steps(1, self.solve(model, steps, effort=SHARE_OF_SECOND_AIM * self.effort))
        elif self.seconds_left > LEAST_SECONDS:
            linear = LessonBound(self.course, self.lessons)
            self.lower(1, linear.most_known_from_last(enough, self.seconds_left))

    def lower_peak(self) -> None:
        """Minimise the peak of new material, keeping what is known."""
        if self.judged(PEAK) > self.bounds[2] and self.small:
            model = LessonModel(self.course, self.lessons)
            model.require(model.known(), self.in_whole_steps(KNOWN))
            model.require(model.known_from_last(), self.in_whole_steps(BEFORE))
            bound = self.solve(model, model.peak, effort=self.effort, least=True)
            self.bounds[2] = max(self.bounds[2], bound or 0)

    def in_whole_steps(self, place: int) -> int:
        """Return the sum of shares that later aims have to keep."""
        return self.judged(place) // self.grain * self.grain

    def lower(self, aim: int, bound: int | None) -> None:
        """Record a better bound of an aim."""
        if bound is not None:
            self.bounds[aim] = min(self.bounds[aim], bound)

    def lower_steps(self, aim: int, steps: int | None) -> None:
        """Record a bound given in whole steps; up to one step more may be reached."""
        self.lower(aim, None if steps is None else (steps + 1) * self.grain - 1)

    @property
    def seconds_left(self) -> float:
        """Return the remaining time in seconds."""
        return max(0.01, self.end - time.monotonic())

    def stages(self) -> tuple[Stage, ...]:
        """Return what was reached for each aim."""
        reached = [self.judged(place) for place in (KNOWN, BEFORE, PEAK)]
        return stages_of(reached, self.bounds, self.lessons)

    def judged(self, place: int) -> int:
        """Return one value of the current order's evaluation."""
        return int(evaluate_order(self.order, self.lessons, self.course)[place])

    def anneal(self, enough: int, before_weight: float) -> None:
        """Run several annealings from the best order so far, requiring that enough is known."""
        end = time.monotonic() + self.seconds_of_annealing
        goal = Goal(self.lessons, enough, before_weight, self.grain)
        ladder = list(pairwise(np.geomspace(HOTTEST, COLDEST, SLICES + 1).tolist()))
        moves = self.moves // (COOLINGS * SLICES)
        orders = np.stack((self.order, self.order))
        for seed, temperatures in enumerate(ladder * COOLINGS, start=SEED):
            if self.settled(0) and self.settled(1) and self.judged(PEAK) == self.bounds[2]:
                return
            if time.monotonic() > end:
                self.stopped_by_clock = True
                return
            orders = improve_order(orders, goal, moves, temperatures, seed, self.course)
            self.order = orders[0]

    def solve(
        self, model: LessonModel, aim: Aim, *, effort: float, least: bool = False
    ) -> int | None:
        """Let CP-SAT improve the order for an aim, keep any improvement, and return a bound."""
        if not self.judged(BROKEN):
            model.suggest(self.taken)
        outcome = model.solve(aim, least=least, effort=effort, seconds=self.seconds_left)
        self.effort -= outcome.effort
        self.stopped_by_clock |= outcome.stopped_by_clock
        if outcome.impossible:
            raise NoOrderError
        if outcome.order is not None:
            self.adopt(outcome.order)
        if self.judged(BROKEN):
            raise PlanError(
                "No order that satisfies the limits was found in the time allowed.",
                "allow more time, or fewer limits.",
            )
        return outcome.bound

    def adopt(self, taken: tuple[int, ...]) -> None:
        """Replace the current order if a new one is better."""
        left_out = np.setdiff1d(self.order, taken)
        order = np.concatenate([taken, left_out]).astype(np.int32)
        judged = evaluate_order(order, self.lessons, self.course)
        if is_better(judged, evaluate_order(self.order, self.lessons, self.course), self.grain):
            self.order = order


def order_exists(course: Course, lessons: int) -> bool:
    """Return whether an order satisfies the limits; also true if undecided within an effort."""
    if least_peak(course, lessons) > course.most_new:
        return False
    start = greedy_order(course)
    annealed = improve_order(
        np.stack((start, start)),
        Goal(lessons, 0, MUCH, WHOLE_SONG),
        MOVES_TO_BE_POSSIBLE,
        (HOTTEST, COLDEST),
        SEED,
        course,
    )
    if not evaluate_order(annealed[0], lessons, course)[BROKEN]:
        return True
    outcome = LessonModel(course, lessons).solve(
        None, effort=EFFORT_TO_BE_POSSIBLE, seconds=SECONDS_TO_BE_POSSIBLE
    )
    return not outcome.impossible
