"""Parse measures of a song: one, or the first and the last."""

import re
from collections.abc import Sequence
from numbers import Integral
from typing import TypeAlias, cast

from melodex.errors import QueryError, shown

MeasureRange: TypeAlias = str | int | Sequence[int]
"""A measure, ``5`` or "5", or the first and the last, ``(5, 8)`` or "5-8"; a pickup is 0."""

LAST_MEASURE = 999_999  # longer than any song, and within the range of every array
_TEXT = re.compile(r"([0-9]{1,6})(?:\s*-\s*([0-9]{1,6}))?")
_ENDS = 2


def measure_range(given: object) -> tuple[int, int]:
    """Return the first and the last measure given by a text, a number or a pair.

    Raises
    ------
    QueryError
        If it is none of these, or the last comes before the first.

    Examples
    --------
    >>> measure_range("5-8"), measure_range(5)
    ((5, 8), (5, 5))
    """
    ends = _from_text(given) if isinstance(given, str) else _from_numbers(given)
    if ends is None:
        raise QueryError(f"{shown(given)} names no measures.", "write one number or two: 5-8.")
    first, last = ends
    if last < first:
        raise QueryError(f"Measures {first}-{last} run backwards.", f"write {last}-{first}.")
    return first, last


def _from_text(text: str) -> tuple[int, int] | None:
    match = _TEXT.fullmatch(text.strip())
    return (int(match[1]), int(match[2] or match[1])) if match else None


def _from_numbers(given: object) -> tuple[int, int] | None:
    ends = list(cast("Sequence[object]", given)) if isinstance(given, Sequence) else [given] * _ENDS
    numbers = [
        int(end)
        for end in ends
        if not isinstance(end, bool) and isinstance(end, Integral) and 0 <= int(end) <= LAST_MEASURE
    ]
    return (numbers[0], numbers[1]) if len(numbers) == len(ends) == _ENDS else None
