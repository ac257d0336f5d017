"""What an arrangement could not do, in a sentence each."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from melodex.banjo.arranger.roll_slots import SlottedMeasure
from melodex.banjo.arranger.stroke_moments import StrokeMoment

_LEAST_ROOM = 4  # a roll is gone where fewer than one slot in so many is free


def without_room(
    roll: str, measures: Sequence[SlottedMeasure], moments: Iterable[StrokeMoment]
) -> list[str]:
    """Name the measures in which the melody leaves a roll no room; nothing where it always does."""
    taken = [0] * len(measures)
    for moment in moments:
        taken[moment.measure] += moment.pitch is not None
    crowded = [
        measure.number
        for measure, notes in zip(measures, taken, strict=True)
        if notes and (len(measure.slots) - notes) * _LEAST_ROOM < len(measure.slots)
    ]
    if not crowded:
        return []
    return [
        f"The melody is too fast for the {roll} roll in {in_words(crowded)}: its own notes fill "
        "the measure there."
    ]


def in_words(numbers: Iterable[int]) -> str:
    """Name measures, successive ones as a range.

    Examples
    --------
    >>> in_words([1, 2, 3, 7])
    'measures 1-3, 7'
    """
    distinct = sorted(set(numbers))
    runs = [
        [number for _, number in run]
        for _, run in groupby(enumerate(distinct), key=lambda pair: pair[1] - pair[0])
    ]
    names = [f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs]
    return f"measure{'s'[: len(distinct) > 1]} {', '.join(names)}"
