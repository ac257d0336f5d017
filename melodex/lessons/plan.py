"""Lesson plans: the best one within limits, and what a plan made by hand is worth."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from melodex.errors import PlanError
from melodex.kernels.lesson_order import BEFORE, BROKEN, EARLIER, PEAK, Course, judge_order
from melodex.lessons.conflicts import explain_conflict, limit_in_words, single_limits
from melodex.lessons.course import course_of, lessons_of
from melodex.lessons.ordering import (
    EARLIER_AIM,
    LAST_AIM,
    PEAK_AIM,
    NoOrderError,
    best_order,
    order_exists,
)
from melodex.lessons.reasons import explained_lessons
from melodex.lessons.start import least_peak, most_reused_from_last
from melodex.lessons.taught import NOTHING, Knowledge, Repertoire
from melodex.model.lesson import NO_LIMITS, LessonPlan, Limits, Stage


def plan_songs(
    repertoire: Repertoire,
    pool: Sequence[int],
    limits: Limits,
    *,
    known: Knowledge = NOTHING,
    seconds: float,
) -> LessonPlan:
    """Find the best sequence of lessons.

    Parameters
    ----------
    pool : sequence of int
        The songs to order, or to choose from, by their number in the material.
    known : Knowledge
        What is no longer new in the first lesson.
    seconds : float
        The time allowed.

    Raises
    ------
    PlanError
        If the limits conflict (it names those that do), cannot be understood for these songs, or
        no order was found in time.
    """
    lessons = lessons_of(limits, len(pool))
    if lessons > len(pool):
        raise PlanError(
            f"{lessons} lessons cannot be filled from {len(pool)} songs, one a lesson.",
            "ask for fewer lessons or choose more songs.",
        )
    if not pool:
        return LessonPlan((), (), limits)
    course = course_of(repertoire, pool, limits, known)
    try:
        found = best_order(course, lessons, seconds=seconds)
    except NoOrderError:
        raise explain_conflict(
            limits,
            lambda fewer: order_exists(course_of(repertoire, pool, fewer, known), lessons),
        ) from None
    return LessonPlan(
        lessons=explained_lessons(repertoire, [pool[place] for place in found.order], known),
        stages=found.stages,
        limits=limits,
        stopped_by_clock=found.stopped_by_clock,
    )


def judge_plan(
    repertoire: Repertoire, order: Sequence[int], limits: Limits, known: Knowledge = NOTHING
) -> LessonPlan:
    """Tell what a given sequence of lessons is worth, and which limits it breaks.

    The bounds come without a search and are those of any order of these songs.

    Parameters
    ----------
    order : sequence of int
        The songs by their number in the material, which has every song that a limit names.
    """
    if not order:
        return LessonPlan((), (), limits)
    broken: list[str] = []
    for limit in single_limits(replace(limits, lessons=len(order))):
        asked_for = [repertoire.material.songs.index(song) for song in sorted(limit.asked_for)]
        pool = list(dict.fromkeys([*order, *asked_for]))
        if _judged(course_of(repertoire, pool, limit, known), len(order))[BROKEN]:
            broken.append(limit_in_words(limit))
    course = course_of(repertoire, order, NO_LIMITS, known)
    judged = _judged(course, len(order))
    stages = (
        Stage(PEAK_AIM, judged[PEAK], least_peak(course, len(order))),
        Stage(LAST_AIM, judged[BEFORE], most_reused_from_last(course, len(order))),
        Stage(EARLIER_AIM, judged[EARLIER], judged[EARLIER]),
    )
    return LessonPlan(
        lessons=explained_lessons(repertoire, order, known),
        stages=stages,
        limits=limits,
        broken=tuple(broken),
    )


def _judged(course: Course, lessons: int) -> list[int]:
    as_given = np.arange(len(course.singles), dtype=np.int32)
    judged: list[int] = judge_order(as_given, lessons, 0, course).tolist()
    return judged
