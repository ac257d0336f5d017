"""Lesson sequences the slow and obvious way: sets of parts, and every order there is.

It knows only the records that a caller sees, so that it can check plans independently.
"""

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise, permutations
from math import floor
from typing import NamedTuple

from melodex.model.results.lesson import LessonPlan, Limits
from melodex.model.results.material import Material

Parts = frozenset[int]


class Worth(NamedTuple):
    """How good a sequence is."""

    known: Fraction  # the known shares of all songs
    from_last: Fraction  # what the lesson just before teaches
    peak: Fraction  # quarter notes
    lessons: int

    @property
    def burden(self) -> tuple[int, int, Fraction]:
        """The smaller one is better: mean shares count in whole percent."""
        return (
            -floor(100 * self.known / self.lessons),
            -floor(100 * self.from_last / self.lessons),
            self.peak,
        )


class LessonFacts(NamedTuple):
    """What one lesson has of each."""

    known: Fraction
    from_last: Fraction
    new: Fraction


@lru_cache(maxsize=64)
def taught_by(material: Material) -> dict[tuple[int, int], Parts]:
    """List which parts of a song, the second, another one teaches."""
    equal = [material.equal_to[material.parts_of(song)] for song in range(len(material.songs))]
    taught: dict[tuple[int, int], set[int]] = {}
    for song, first, end, source, _, _ in material.passages.tolist():
        firsts = {equal[song][part] for part in range(first, end)}
        alike = {part for part, first_part in enumerate(equal[song]) if first_part in firsts}
        taught.setdefault((source, song), set()).update(alike)
    return {pair: frozenset(parts) for pair, parts in taught.items()}


def facts_of(
    material: Material, order: Sequence[str], known: Collection[int] = ()
) -> Iterator[LessonFacts]:
    """Yield what is known and new in each lesson.

    Parameters
    ----------
    known : collection of int
        Parts, in the arrays of all, that are known before the first lesson.
    """
    taught = taught_by(material)
    numbers = [material.songs.index(song) for song in order]
    for place, song in enumerate(numbers):
        parts = material.parts_of(song)
        time = [Fraction(value) for value in material.durations[parts].tolist()]
        here = {part - parts.start for part in known if parts.start <= part < parts.stop}
        for earlier in numbers[:place]:
            here |= taught.get((earlier, song), frozenset())
        last = taught.get((numbers[place - 1], song), frozenset()) if place else frozenset()
        again = {
            part for part, first in enumerate(material.equal_to[parts].tolist()) if first < part
        }
        for row in material.passages.tolist():
            if row[0] == row[3] == song:
                again |= set(range(row[1], row[2]))
        yield LessonFacts(
            sum((time[part] for part in here), Fraction(0)) / sum(time),
            sum((time[part] for part in last), Fraction(0)) / sum(time),
            sum((t for part, t in enumerate(time) if part not in here | again), Fraction(0)),
        )


def worth_of(material: Material, order: Sequence[str], known: Collection[int] = ()) -> Worth:
    """Measure a sequence aim by aim."""
    facts = list(facts_of(material, order, known))
    return Worth(
        sum((each.known for each in facts), Fraction(0)),
        sum((each.from_last for each in facts), Fraction(0)),
        max(each.new for each in facts),
        len(facts),
    )


def broken_limits(
    material: Material, order: Sequence[str], limits: Limits, known: Collection[int] = ()
) -> list[str]:
    """Name the limits that a sequence breaks; without reviews."""
    lesson = {song: number for number, song in enumerate(order, start=1)}
    level = {s: value or 0.0 for s, value in zip(material.songs, material.levels, strict=True)}
    tune = dict(zip(material.songs, material.tunes, strict=True))
    named = limits.asked_for
    tunes = [tune[song] for song in order if song not in named]
    named_tunes = {tune[song] for song in named}
    step = limits.level_step
    new = [each.new for each in facts_of(material, order, known)]
    checks = {
        "lessons": limits.lessons not in (None, len(order)) or len(lesson) != len(order),
        "versions": limits.lessons is not None
        and (len(set(tunes)) < len(tunes) or bool(named_tunes & set(tunes))),
        "level_step": step is not None
        and any(level[b] - level[a] > step for a, b in pairwise(order)),
        "most_new": limits.most_new is not None and max(new) > limits.most_new,
        "must_come": not set(limits.must_come) <= set(order),
        "must_not_come": bool(set(limits.must_not_come) & set(order)),
        "before": any(
            a in lesson and b in lesson and lesson[a] > lesson[b] for a, b in limits.before
        ),
        "first": limits.first not in (None, order[0]),
        "last": limits.last not in (None, order[-1]),
        "in_turn": bool(limits.in_turn)
        and any(
            limits.in_turn[place % len(limits.in_turn)]
            not in material.facts[material.songs.index(song)]
            for place, song in enumerate(order)
        ),
        "kept": any(lesson.get(song) != number for number, song in limits.kept),
    }
    return [name for name, broken in checks.items() if broken]


def worth_of_plan(plan: LessonPlan) -> Worth:
    """Read how good a plan is from its lessons, not from its own stages."""
    return Worth(
        sum((_exact(lesson.share) for lesson in plan.lessons), Fraction(0)),
        sum((_exact(lesson.share_from_last) for lesson in plan.lessons), Fraction(0)),
        max(_exact(lesson.new) for lesson in plan.lessons),
        len(plan.lessons),
    )


def _exact(value: float) -> Fraction:
    return Fraction(value).limit_denominator(10_000)


def best_worth(material: Material, limits: Limits, known: Collection[int] = ()) -> Worth | None:
    """Try every order; None if none keeps the limits."""
    lessons = len(material.songs) if limits.lessons is None else limits.lessons
    fits = (
        worth_of(material, order, known)
        for order in permutations(material.songs, lessons)
        if not broken_limits(material, order, limits, known)
    )
    return min(fits, key=lambda worth: worth.burden, default=None)
