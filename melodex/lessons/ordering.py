"""The lesson sequence: the songs in their best order, proved so or with the gap to a bound."""

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
    improve_order,
    is_better,
    judge_order,
)
from melodex.lessons.atoms import WHOLE_SONG
from melodex.lessons.lesson_bound import LessonBound
from melodex.lessons.lesson_model import Aim, LessonModel
from melodex.lessons.start import greedy_order, least_peak, most_known, most_known_from_last
from melodex.model.results.lesson import KNOWN_AIM, LAST_AIM, PEAK_AIM, Stage

# How the user's time is shared out. Work is counted, not timed, so that the answer does not depend
# on how busy a machine is; the clock only stops what would take longer than the user allows.
# On 12 lessons out of 150 songs a core of 2026 does 340,000 moves a second if it has no other work,
# and the bound's linear programs take some 8 s, whatever the time allowed.
MOVES_A_SECOND = 60_000
SHARE_OF_ANNEALING = 0.35  # for each of the first two aims, at most
# In parts of 10,000 of a song. On 150 bundled tunes, of eight coolings of 400,000 moves four ended
# within half a percent of the best order known; down to 200 instead of 100 fewer did.
HOTTEST, COLDEST = 1_000.0, 100.0
COOLINGS = 8
# Weights of what the lesson just before teaches, while most is to be known and when enough is: with
# much weight at once 73.2 % known was the best found on those tunes instead of 74.4 %.
LITTLE, MUCH = 0.05, 0.25
SLICES = 12  # of a cooling, between which the clock is looked at
MOVES_A_PAIR = 250  # of songs: all that few songs need
EFFORT_A_SECOND = 0.4  # deterministic seconds of CP-SAT, each one to three of a machine in use
LEAST_SECONDS = 1.0  # below, a linear program is not even written down
SMALL = 25  # songs: so many CP-SAT proves; of more, linear programs give bounds
SHARE_OF_FIRST_AIM, SHARE_OF_SECOND_AIM = 0.6, 0.6  # of the effort left; the last aim has the rest
# Less than a percent of a mean share decides nothing: otherwise a hundredth of a percent that is
# known would outweigh whole passages from the lesson just before.
GRAIN = WHOLE_SONG // 100
STAGE_DIGITS = 8  # so that means of whole parts of songs stay as they are
SEED = 1
# To find out whether an order exists.
MOVES_TO_BE_POSSIBLE, EFFORT_TO_BE_POSSIBLE, SECONDS_TO_BE_POSSIBLE = 100_000, 5.0, 30.0


@dataclass(frozen=True, slots=True)
class Ordering:
    """The songs taken, by their place in the course, and how good their order is."""

    order: tuple[int, ...]
    stages: tuple[Stage, ...]
    stopped_by_clock: bool


class NoOrderError(Exception):
    """No order keeps the limits; whoever asked finds out which of them conflict."""


def best_order(course: Course, lessons: int, *, seconds: float) -> Ordering:
    """Order songs aim by aim: limits, most known, most from the lesson before, least new at once.

    A greedy order is annealed, and CP-SAT improves it further and proves how good it is. Work is
    counted in moves and in the solver's deterministic seconds: the same course and time give the
    same order, unless the clock had to stop it.

    Parameters
    ----------
    course : Course
        n songs, at least one.
    lessons : int
        How many of them are taken, 1 to n.
    seconds : float
        The time allowed.

    Raises
    ------
    NoOrderError
        If no order keeps the limits.
    PlanError
        If none was found in the time allowed.
    """
    search = _Search(course, lessons, seconds)
    search.begin()
    search.raise_known()
    search.raise_known_from_last()
    search.lower_peak()
    return Ordering(tuple(search.taken), search.stages(), search.stopped_by_clock)


def stages_of(reached: Sequence[int], bounds: Sequence[int], lessons: int) -> tuple[Stage, ...]:
    """Turn sums of shares into means of 0 to 1, and ticks into quarter notes.

    Parameters
    ----------
    reached, bounds : sequence of int
        What is known, from the lesson just before, and the most new material of a lesson.
    """
    units = (WHOLE_SONG * lessons, WHOLE_SONG * lessons, ONSET_GRID)
    return tuple(
        Stage(aim, round(value / unit, STAGE_DIGITS), round(bound / unit, STAGE_DIGITS))
        for aim, value, bound, unit in zip(
            (KNOWN_AIM, LAST_AIM, PEAK_AIM), reached, bounds, units, strict=True
        )
    )


class _Search:
    """The best order so far, and what is left of time and effort."""

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
        """Whether no order can be better in an aim, so far as that counts."""
        value, bound = self.judged((KNOWN, BEFORE)[aim]), self.bounds[aim]
        return not self.judged(BROKEN) and value // self.grain == bound // self.grain

    @property
    def taken(self) -> list[int]:
        """The songs taken, in order."""
        taken: list[int] = self.order[: self.lessons].tolist()
        return taken

    def begin(self) -> None:
        """Anneal the greedy order, and find out whether the limits can be kept at all."""
        if self.bounds[2] > self.course.most_new:
            raise NoOrderError
        self.anneal(self.bounds[0], LITTLE)

    def raise_known(self) -> None:
        """Find the largest sum of known shares that the limits allow."""
        if self.settled(0):
            return
        if self.small or self.judged(BROKEN):
            model = LessonModel(self.course, self.lessons)
            steps = model.in_steps(model.known(), self.grain, self.bounds[0])
            self.lower_steps(0, self.solve(model, steps, effort=SHARE_OF_FIRST_AIM * self.effort))
        if not self.small and self.seconds_left > LEAST_SECONDS:
            self.lower(0, LessonBound(self.course, self.lessons).most_known(self.seconds_left))

    def raise_known_from_last(self) -> None:
        """Find the most from the lesson just before, with as much known as was reached."""
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
        """Find the smallest peak of new material, with as much known as was reached."""
        if self.judged(PEAK) > self.bounds[2] and self.small:
            model = LessonModel(self.course, self.lessons)
            model.require(model.known(), self.in_whole_steps(KNOWN))
            model.require(model.known_from_last(), self.in_whole_steps(BEFORE))
            bound = self.solve(model, model.peak, effort=self.effort, least=True)
            self.bounds[2] = max(self.bounds[2], bound or 0)

    def in_whole_steps(self, place: int) -> int:
        """Return which sum of shares later aims have to keep."""
        return self.judged(place) // self.grain * self.grain

    def lower(self, aim: int, bound: int | None) -> None:
        """Take over a lower bound of an aim."""
        if bound is not None:
            self.bounds[aim] = min(self.bounds[aim], bound)

    def lower_steps(self, aim: int, steps: int | None) -> None:
        """Take over a bound of so many whole steps: what is less than one more may be reached."""
        self.lower(aim, None if steps is None else (steps + 1) * self.grain - 1)

    @property
    def seconds_left(self) -> float:
        """Return how much of the time is left."""
        return max(0.01, self.end - time.monotonic())

    def stages(self) -> tuple[Stage, ...]:
        """Return what was reached, aim by aim."""
        reached = [self.judged(place) for place in (KNOWN, BEFORE, PEAK)]
        return stages_of(reached, self.bounds, self.lessons)

    def judged(self, place: int) -> int:
        """Return one value of the order's judgement."""
        return int(judge_order(self.order, self.lessons, self.course)[place])

    def anneal(self, enough: int, before_weight: float) -> None:
        """Cool several times from the best order so far, until enough is known and no less."""
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
        """Let CP-SAT improve the order towards an aim, keep what is better, and return a bound."""
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
                "No order that keeps the limits was found in the time allowed.",
                "allow more time, or fewer limits.",
            )
        return outcome.bound

    def adopt(self, taken: tuple[int, ...]) -> None:
        """Keep an order if it is the better one."""
        left_out = np.setdiff1d(self.order, taken)
        order = np.concatenate([taken, left_out]).astype(np.int32)
        judged = judge_order(order, self.lessons, self.course)
        if is_better(judged, judge_order(self.order, self.lessons, self.course), self.grain):
            self.order = order


def order_exists(course: Course, lessons: int) -> bool:
    """Whether an order keeps the limits; what is not decided within an effort counts as one."""
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
    if not judge_order(annealed[0], lessons, course)[BROKEN]:
        return True
    outcome = LessonModel(course, lessons).solve(
        None, effort=EFFORT_TO_BE_POSSIBLE, seconds=SECONDS_TO_BE_POSSIBLE
    )
    return not outcome.impossible
