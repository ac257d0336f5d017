"""Lesson sequences the slow and obvious way: sets of licks, and every order there is.

It knows only the records that a caller sees, so that it can check plans independently.
"""

from collections.abc import Sequence, Set
from itertools import pairwise
from typing import NamedTuple

from melodex.model.lesson import LessonPlan, Limits
from melodex.model.material import Material


class Worth(NamedTuple):
    """What a sequence is worth; the smaller tuple is the better one."""

    peak: int
    not_from_last: int  # minus what is re-used from the lesson just before
    not_from_earlier: int


def licks_of(material: Material, song: str) -> set[str]:
    """The names of a song's licks."""
    number = material.songs.index(song)
    return {material.licks[lick] for s, lick, _, _ in material.places.tolist() if s == number}


def singles_of(material: Material, song: str) -> int:
    """How many different measures of a song belong to no lick."""
    number = material.songs.index(song)
    rows = [(m, alike) for s, m, alike in material.measures.tolist() if s == number]
    places = [(a, b) for s, _, a, b in material.places.tolist() if s == number]
    in_licks = {alike for m, alike in rows if any(a <= m <= b for a, b in places)}
    return len({alike for _, alike in rows} - in_licks)


def new_and_reused(material: Material, order: Sequence[str], known: Set[str]):
    """Yield each lesson's new measures, those re-used from the last lesson, and from earlier."""
    length = dict(zip(material.licks, material.lick_measures.tolist(), strict=True))
    seen, last = set(known), set[str]()
    for song in order:
        licks = licks_of(material, song)
        yield (
            singles_of(material, song) + sum(length[lick] for lick in licks - seen),
            sum(length[lick] for lick in licks & last),
            sum(length[lick] for lick in (licks & seen) - last),
        )
        seen, last = seen | licks, licks


def worth_of(material: Material, order: Sequence[str], known: Set[str] = frozenset()) -> Worth:
    """Measure a sequence aim by aim."""
    new, from_last, from_earlier = zip(*new_and_reused(material, order, known), strict=True)
    return Worth(max(new), -sum(from_last), -sum(from_earlier))


def broken_limits(
    material: Material, order: Sequence[str], limits: Limits, known: Set[str] = frozenset()
) -> list[str]:
    """Name the limits that a sequence breaks."""
    lesson = {song: number for number, song in enumerate(order, start=1)}
    level = {s: value or 0.0 for s, value in zip(material.songs, material.levels, strict=True)}
    step = limits.level_step
    new = [new for new, _, _ in new_and_reused(material, order, known)]
    checks = {
        "lessons": limits.lessons not in (None, len(order)) or len(lesson) != len(order),
        "level_step": step is not None
        and any(level[b] - level[a] > step for a, b in pairwise(order)),
        "most_new": limits.most_new is not None and max(new) > limits.most_new,
        "must_come": not set(limits.must_come) <= set(order),
        "before": any(
            a in lesson and b in lesson and lesson[a] > lesson[b] for a, b in limits.before
        ),
        "first": limits.first not in (None, order[0]),
        "last": limits.last not in (None, order[-1]),
        "kept": any(lesson.get(song) != number for number, song in limits.kept),
    }
    return [name for name, broken in checks.items() if broken]


def worth_of_plan(plan: LessonPlan) -> Worth:
    """Read a plan's worth from its lessons, not from its own stages."""
    from_last = sum(lesson.reused_from_last for lesson in plan.lessons)
    return Worth(
        max(lesson.new for lesson in plan.lessons),
        -from_last,
        from_last - sum(lesson.reused for lesson in plan.lessons),
    )


def best_worth(material: Material, limits: Limits, known: Set[str] = frozenset()) -> Worth | None:
    """Try every order, but for those that begin above a peak already reached; None if none fits."""
    lessons = len(material.songs) if limits.lessons is None else limits.lessons
    licks = {song: licks_of(material, song) for song in material.songs}
    singles = {song: singles_of(material, song) for song in material.songs}
    length = dict(zip(material.licks, material.lick_measures.tolist(), strict=True))
    best: Worth | None = None

    def size(names: Set[str]) -> int:
        return sum(length[name] for name in names)

    def extend(order: tuple[str, ...], seen: Set[str], worth: Worth) -> None:
        nonlocal best
        if len(order) == lessons:
            if (best is None or worth < best) and not broken_limits(material, order, limits, known):
                best = worth
            return
        last = licks[order[-1]] if order else set()
        for song in material.songs:
            here = licks[song]
            peak = max(worth.peak, singles[song] + size(here - seen))
            if song in order or (best is not None and peak > best.peak):
                continue
            longer = Worth(
                peak,
                worth.not_from_last - size(here & last),
                worth.not_from_earlier - size((here & seen) - last),
            )
            extend((*order, song), seen | here, longer)

    extend((), set(known), Worth(0, 0, 0))
    return best
