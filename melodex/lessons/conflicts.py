"""Which limits conflict, when no order keeps them all."""

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any, cast

from melodex.errors import PlanError
from melodex.model.results.lesson import Limits

# What no order can break: how many lessons and reviews there are, and when.
_LAYOUT = ("lessons", "review_every", "first_date", "skip")


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
        if not possible(_together(others, limits)):
            needed = others
    return needed


def single_limits(limits: Limits) -> list[Limits]:
    """Take limits apart: each has one limit, and how many lessons and reviews there are."""
    alone = Limits(lessons=limits.lessons, review_every=limits.review_every)
    singles: list[Limits] = []
    for field in fields(limits):
        value: Any = getattr(limits, field.name)
        if field.name in _LAYOUT or value is None or value == ():
            continue
        parts: list[Any] = [value]
        if isinstance(value, tuple) and field.name != "in_turn":
            parts = [(part,) for part in cast("tuple[object, ...]", value)]
        singles += [replace(alone, **{field.name: part}) for part in parts]
    return singles


def _together(singles: list[Limits], limits: Limits) -> Limits:
    joined = Limits(lessons=limits.lessons, review_every=limits.review_every)
    for single in singles:
        for field in fields(single):
            value = getattr(single, field.name)
            if isinstance(value, tuple):
                joined = replace(joined, **{field.name: getattr(joined, field.name) + value})
            elif value is not None:
                joined = replace(joined, **{field.name: value})
    return joined


def limit_in_words(single: Limits) -> str:
    """Return in words what a record of one limit requires.

    Examples
    --------
    >>> limit_in_words(Limits(level_step=1)), limit_in_words(Limits(before=(("gate", "mill"),)))
    ('the level goes up by at most 1 from lesson to lesson', 'gate comes before mill')
    """
    words = [
        *(
            text.format(value)
            for value, text in (
                (single.level_step, "the level goes up by at most {:g} from lesson to lesson"),
                (single.most_new, "a lesson has at most {:g} quarter notes of new material"),
                (single.first, "{} comes first"),
                (single.last, "{} comes last"),
            )
            if value is not None
        ),
        *([f"the songs are {', '.join(single.in_turn)} in turn"] if single.in_turn else []),
        *(f"{song} must come" for song in single.must_come),
        *(f"{song} must not come" for song in single.must_not_come),
        *(f"{one} comes before {other}" for one, other in single.before),
        *(f"{song} is kept in lesson {lesson}" for lesson, song in single.kept),
    ]
    return "; ".join(words)


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
