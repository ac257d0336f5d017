"""The lesson sequence: the songs in their best order, proved so or with the gap to a bound."""

import time
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from melodex.errors import PlanError
from melodex.kernels.lesson_order import (
    BEFORE,
    BROKEN,
    EARLIER,
    PEAK,
    Course,
    improve_order,
    is_better,
    judge_order,
)
from melodex.lessons.lesson_model import Aim, LessonModel, Outcome
from melodex.lessons.start import greedy_order, least_peak, most_reused, most_reused_from_last
from melodex.model.lesson import Stage

PEAK_AIM = "smallest peak of new material in a lesson"
LAST_AIM = "most material re-used from the lesson just before"
EARLIER_AIM = "most material re-used from earlier lessons"

# How the user's time is shared out. Work is counted, not timed, so that the answer does not depend
# on how busy a machine is; the clock only stops what would take longer than the user allows.
MOVES_A_SECOND = (
    300_000  # of annealing 60 songs; a core of 2026 does 700,000 if it has no other work
)
SHARE_OF_ANNEALING = 0.55
SHARE_OF_ANNEALING_ALONE = 0.9  # where there are too many songs for CP-SAT
# On 60 songs one long cooling found 282 and 326 measures of re-use where five short ones found 279
# and 324, in the same number of moves; 3 and 0.3 were the best of five pairs of temperatures.
HOTTEST, COLDEST = 3.0, 0.3
SLICES = 12  # of a cooling, between which the clock is looked at
MOVES_A_PAIR = 250  # of songs: enough to find the peak, and all that few songs need
# Deterministic seconds of CP-SAT, each one to three of a machine in use. It proves few songs from
# any start and needs time for that; of 60 songs its bound stands after the first second.
EFFORT_A_SECOND, EFFORT_A_SECOND_IF_SMALL = 0.15, 0.4
SMALL = 25  # songs
PAIRS_A_SECOND = 400  # of songs; with more of them CP-SAT is not through with reading in its time
SHARE_OF_PEAK = 0.4  # of the effort; the next aim has what is left, save the last one's share
SHARE_OF_LAST_AIM = 0.2
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
    """Order songs aim by aim: limits, smallest peak, most re-use from the last lesson, from others.

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
    stages = (search.lower_peak(), search.raise_reuse_from_last(), search.raise_reuse())
    return Ordering(tuple(search.taken), stages, search.stopped_by_clock)


class _Search:
    """The best order so far, and what is left of time and effort."""

    def __init__(self, course: Course, lessons: int, seconds: float) -> None:
        self.course, self.lessons = course, lessons
        self.stopped_by_clock = False
        self.least_peak = least_peak(course, lessons)
        self.most_reused_from_last = most_reused_from_last(course, lessons)
        self.order = greedy_order(course, self.least_peak)
        begun = time.monotonic()
        self.end = begun + seconds
        size = len(self.order)
        self.small = size <= SMALL
        self.modelled = self.small or size * size <= PAIRS_A_SECOND * seconds
        self.effort = seconds * (EFFORT_A_SECOND_IF_SMALL if self.small else EFFORT_A_SECOND)
        self.last_effort = SHARE_OF_LAST_AIM * self.effort
        share = SHARE_OF_ANNEALING if self.modelled else SHARE_OF_ANNEALING_ALONE
        self.end_of_annealing = begun + share * seconds
        self.moves = int(MOVES_A_SECOND * share * seconds * 60 / size)
        self.few_moves = min(self.moves // 4, MOVES_A_PAIR * size * size)

    @property
    def settled(self) -> bool:
        """Whether no order can be better in the first two aims."""
        judged = judge_order(self.order, self.lessons, self.least_peak, self.course)
        reached = judged[[BROKEN, PEAK, BEFORE]].tolist()
        return bool(reached == [0, self.least_peak, self.most_reused_from_last])

    @property
    def taken(self) -> list[int]:
        """The songs taken, in order."""
        taken: list[int] = self.order[: self.lessons].tolist()
        return taken

    def begin(self) -> None:
        """Anneal the greedy order, and find out whether the limits can be kept at all."""
        if self.least_peak > self.course.most_new:
            raise NoOrderError
        self.anneal(self.least_peak, moves=self.few_moves)

    def lower_peak(self) -> Stage:
        """Find the smallest peak that the limits allow."""
        bound, broken = self.least_peak, self.judged(BROKEN)
        if broken or (self.judged(PEAK) > bound and self.modelled):
            highest = int(self.course.sizes.sum()) if broken else self.judged(PEAK)
            model = LessonModel(self.course, self.lessons, (bound, highest))
            outcome = self.solve(model, model.peak, effort=SHARE_OF_PEAK * self.effort, least=True)
            bound = max(bound, outcome.bound or 0)
        return Stage(PEAK_AIM, self.judged(PEAK), bound)

    def raise_reuse_from_last(self) -> Stage:
        """Find the most re-use from the lesson just before under the peak reached."""
        bound = self.most_reused_from_last
        moves = self.few_moves if self.small else self.moves - self.few_moves
        self.anneal(self.judged(PEAK), moves=moves)
        if self.judged(BEFORE) < bound and self.modelled:
            model = self.model_under_peak()
            aim = model.reused_from_last()
            outcome = self.solve(model, aim, effort=self.effort - self.last_effort)
            bound = bound if outcome.bound is None else min(bound, outcome.bound)
        return Stage(LAST_AIM, self.judged(BEFORE), bound)

    def raise_reuse(self) -> Stage:
        """Find the most re-use from earlier lessons, where there is a choice of songs.

        Where every song is taken, what is not new and not from the last lesson is from earlier
        ones: the aims before have settled it.
        """
        before, bound = self.judged(BEFORE), self.judged(EARLIER)
        if self.lessons < len(self.order):
            bound = most_reused(self.course, self.lessons) - before
        if self.judged(EARLIER) < bound and self.modelled:
            model = self.model_under_peak()
            model.require(model.reused_from_last() == before)
            outcome = self.solve(model, model.reused_in_all(), effort=self.effort)
            bound = bound if outcome.bound is None else min(bound, outcome.bound - before)
        return Stage(EARLIER_AIM, self.judged(EARLIER), bound)

    def model_under_peak(self) -> LessonModel:
        """Model the orders whose peak is no higher than the one reached."""
        peak = self.judged(PEAK)
        return LessonModel(self.course, self.lessons, (peak, peak))

    def judged(self, place: int) -> int:
        """Return one value of the order's judgement."""
        return int(judge_order(self.order, self.lessons, self.least_peak, self.course)[place])

    def anneal(self, wanted_peak: int, *, moves: int) -> None:
        """Cool once, from the order so far, unless nothing better is possible."""
        orders = np.stack((self.order, self.order))
        ladder = np.geomspace(HOTTEST, COLDEST, SLICES + 1).tolist()
        for seed, temperatures in enumerate(pairwise(ladder), start=SEED):
            if self.settled:
                return
            if time.monotonic() > self.end_of_annealing:
                self.stopped_by_clock = True
                return
            orders = improve_order(
                orders, self.lessons, wanted_peak, moves // SLICES, temperatures, seed, self.course
            )
            self.order = orders[0]

    def solve(self, model: LessonModel, aim: Aim, *, effort: float, least: bool = False) -> Outcome:
        """Let CP-SAT improve the order towards an aim, and keep what is better."""
        if not self.judged(BROKEN):
            model.suggest(self.taken)
        seconds = max(0.01, self.end - time.monotonic())
        outcome = model.solve(aim, least=least, effort=effort, seconds=seconds)
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
        return outcome

    def adopt(self, taken: tuple[int, ...]) -> None:
        """Keep an order if it is the better one."""
        left_out = np.setdiff1d(self.order, taken)
        order = np.concatenate([taken, left_out]).astype(np.int32)
        judgements = [
            judge_order(each, self.lessons, self.least_peak, self.course)
            for each in (order, self.order)
        ]
        if is_better(*judgements):
            self.order = order


def order_exists(course: Course, lessons: int) -> bool:
    """Whether an order keeps the limits; what is not decided within an effort counts as one."""
    floor = least_peak(course, lessons)
    if floor > course.most_new:
        return False
    start = greedy_order(course, floor)
    annealed = improve_order(
        np.stack((start, start)),
        lessons,
        floor,
        MOVES_TO_BE_POSSIBLE,
        (HOTTEST, COLDEST),
        SEED,
        course,
    )
    if not judge_order(annealed[0], lessons, floor, course)[BROKEN]:
        return True
    model = LessonModel(course, lessons, (floor, int(course.sizes.sum())))
    outcome = model.solve(None, effort=EFFORT_TO_BE_POSSIBLE, seconds=SECONDS_TO_BE_POSSIBLE)
    return not outcome.impossible
