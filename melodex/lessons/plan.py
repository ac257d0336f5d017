"""Find the best lesson plan within limits, or evaluate a plan made by hand."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from melodex.errors import PlanError
from melodex.kernels.lesson_order import BEFORE, BROKEN, KNOWN, PEAK, Course, evaluate_order
from melodex.lessons.atoms import WHOLE_SONG, atoms_of
from melodex.lessons.conflicts import explain_conflict, limit_in_words, single_limits
from melodex.lessons.course import course_of, songs_taken
from melodex.lessons.knowledge import Known, is_known
from melodex.lessons.ordering import NoOrderError, best_order, order_exists, stages_of
from melodex.lessons.reasons import explained_lessons
from melodex.lessons.start import least_peak, most_known, most_known_from_last
from melodex.model.results.lesson import NO_LIMITS, Lesson, LessonPlan, Limits
from melodex.model.results.material import Material


def plan_songs(
    material: Material, songs: Sequence[int], limits: Limits, *, known: Known, seconds: float
) -> LessonPlan:
    """Return the best sequence of lessons.

    Parameters
    ----------
    songs : sequence of int
        The songs to order, or to choose from, by index in the material. Known songs are left out,
        unless a limit names them.
    known : shape (n_parts,)
        The parts known before the first lesson.
    seconds : float
        The time allowed.

    Raises
    ------
    PlanError
        If limits conflict (the message names them) or do not fit these songs, or if no order was
        found in time.
    """
    pool = songs_to_plan(material, songs, limits, known)
    if not pool:
        return LessonPlan((), (), limits)
    atoms, chosen = atoms_of(material, pool, known), limits.lessons is not None

    def course_within(fewer: Limits) -> Course:
        return course_of(material, pool, fewer, atoms, known, chosen=chosen)

    course, taken = course_within(limits), songs_taken(limits, len(pool))
    tunes = len(np.unique(course.tunes))
    if taken > tunes:
        raise PlanError(
            f"{taken} lessons cannot be filled from {tunes} song{'s'[: tunes != 1]}, one a lesson"
            + (", one version of each tune." if tunes < len(pool) else "."),
            "plan fewer lessons or choose more songs.",
        )
    try:
        found = best_order(course, taken, seconds=seconds)
    except NoOrderError:
        raise explain_conflict(
            limits, lambda fewer: order_exists(course_within(fewer), taken)
        ) from None
    order = [pool[place] for place in found.order]
    return LessonPlan(
        lessons=_explained(material, order, known, limits),
        stages=found.stages,
        limits=limits,
        stopped_by_clock=found.stopped_by_clock,
    )


def songs_to_plan(
    material: Material, songs: Sequence[int], limits: Limits, known: Known
) -> list[int]:
    """Return which of some songs a plan may use.

    Known and excluded songs are left out. If songs are selected, so are versions of tunes that are
    known, or of which a limit names another version.
    """
    named = limits.required_songs
    left_out = {song for song in songs if is_known(material, song, known)}
    left_out |= {song for song in songs if material.songs[song] in limits.must_not_come}
    if limits.lessons is not None:
        everything = range(len(material.songs))
        had = {material.tunes[song] for song in everything if is_known(material, song, known)}
        had |= {material.tunes[song] for song in everything if material.songs[song] in named}
        left_out |= {song for song in songs if material.tunes[song] in had}
    return [song for song in songs if song not in left_out or material.songs[song] in named]


def judge_plan(
    material: Material, order: Sequence[int], limits: Limits, known: Known
) -> LessonPlan:
    """Return an evaluation of a given sequence: how good it is, and which limits it breaks.

    The bounds are computed without a search, and apply to any order of these songs.

    Parameters
    ----------
    order : sequence of int
        Songs by index in the material, which must contain every song named in a limit.
    """
    if not order:
        return LessonPlan((), (), limits)
    broken: list[str] = []
    for limit in single_limits(replace(limits, lessons=limits.lessons_for(len(order)))):
        named = [material.songs.index(song) for song in sorted(limit.required_songs)]
        pool = list(dict.fromkeys([*order, *named]))
        comes = any(material.songs[song] in limit.must_not_come for song in order)
        course = _course_as_given(material, pool, limit, known)
        if comes or _judged(course, len(order))[BROKEN]:
            broken.append(limit_in_words(limit))
    course = _course_as_given(material, order, NO_LIMITS, known)
    judged, songs = _judged(course, len(order)), len(order)
    stages = stages_of(
        [judged[KNOWN], judged[BEFORE], judged[PEAK]],
        [most_known(course, songs), most_known_from_last(course, songs), least_peak(course, songs)],
        songs,
    )
    return LessonPlan(
        lessons=_explained(material, order, known, limits),
        stages=stages,
        limits=limits,
        broken=tuple(broken),
    )


def _explained(
    material: Material, order: Sequence[int], known: Known, limits: Limits
) -> tuple[Lesson, ...]:
    """Return the lessons with explanations, and with the shares that the aims sum up."""
    course = _course_as_given(material, order, NO_LIMITS, known)
    sums = [_judged(course, songs) for songs in range(len(order) + 1)]
    shares = [
        (
            (after[KNOWN] - before[KNOWN]) / WHOLE_SONG,
            (after[BEFORE] - before[BEFORE]) / WHOLE_SONG,
        )
        for before, after in pairwise(sums)
    ]
    numbers = [limits.lesson_of(place) for place in range(len(order))]
    return explained_lessons(material, order, known, numbers=numbers, shares=shares)


def _course_as_given(
    material: Material, songs: Sequence[int], limits: Limits, known: Known
) -> Course:
    return course_of(material, songs, limits, atoms_of(material, songs, known), known, chosen=False)


def _judged(course: Course, lessons: int) -> list[int]:
    as_given = np.arange(len(course.own_new), dtype=np.int32)
    judged: list[int] = evaluate_order(as_given, lessons, course).tolist()
    return judged
