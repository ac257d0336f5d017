"""Which limits conflict, when no order keeps them all."""

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any, cast

from melodex.errors import PlanError
from melodex.model.lesson import Limits


def conflicting_limits(limits: Limits, possible: Callable[[Limits], bool]) -> list[Limits]:
    """Find limits that conflict, and none of which could be spared.

    Each limit is left out in turn, and stays out if no order keeps the others either.

    Parameters
    ----------
    limits : Limits
        Limits that no order keeps.
    possible : callable
        Whether an order keeps some limits.

    Returns
    -------
    list of Limits
        Each with one limit; without any one of them the others could be kept.
    """
    needed = single_limits(limits)
    for limit in list(needed):
        others = [other for other in needed if other is not limit]
        if not possible(_together(others, limits.lessons)):
            needed = others
    return needed


def single_limits(limits: Limits) -> list[Limits]:
    """Take limits apart: each has one limit, and the number of lessons."""
    alone = Limits(lessons=limits.lessons)
    singles: list[Limits] = []
    for field in fields(limits):
        value: Any = getattr(limits, field.name)
        if field.name == "lessons" or value is None:
            continue
        parts: list[Any] = [value]
        if isinstance(value, tuple):
            parts = [(part,) for part in cast("tuple[object, ...]", value)]
        singles += [replace(alone, **{field.name: part}) for part in parts]
    return singles


def _together(singles: list[Limits], lessons: int | None) -> Limits:
    joined = Limits(lessons=lessons)
    for single in singles:
        for field in fields(single):
            value = getattr(single, field.name)
            if isinstance(value, tuple):
                joined = replace(joined, **{field.name: getattr(joined, field.name) + value})
            elif value is not None:
                joined = replace(joined, **{field.name: value})
    return joined


def limit_in_words(single: Limits) -> str:
    """Say in words what a record of one limit asks.

    Examples
    --------
    >>> limit_in_words(Limits(level_step=1)), limit_in_words(Limits(before=(("gate", "mill"),)))
    ('the level rises by at most 1 from lesson to lesson', 'gate comes before mill')
    """
    told = [
        *(
            text.format(value)
            for value, text in (
                (single.level_step, "the level rises by at most {:g} from lesson to lesson"),
                (single.most_new, "a lesson has at most {} measures of new material"),
                (single.first, "{} comes first"),
                (single.last, "{} comes last"),
            )
            if value is not None
        ),
        *(f"{song} must come" for song in single.must_come),
        *(f"{one} comes before {other}" for one, other in single.before),
        *(f"{song} is kept in lesson {lesson}" for lesson, song in single.kept),
    ]
    return "; ".join(told)


def explain_conflict(limits: Limits, possible: Callable[[Limits], bool]) -> PlanError:
    """Make the error that names the limits which conflict."""
    conflicting = conflicting_limits(limits, possible)
    named = "; ".join(limit_in_words(limit) for limit in conflicting)
    songs = "the songs" if limits.lessons is None else f"{limits.lessons} of the songs"
    if len(conflicting) == 1:
        return PlanError(
            f"No order of {songs} keeps this limit: {named}.", "loosen it or leave it out."
        )
    return PlanError(
        f"No order of {songs} keeps these limits together: {named}.",
        "loosen one of them or leave it out; any one is enough.",
    )
