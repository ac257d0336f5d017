"""Choose songs by what is known about them."""

import math
import re
from collections.abc import Iterable, Sequence
from numbers import Real
from typing import TypeAlias, cast

from melodex.errors import QueryError
from melodex.model.catalogue import SongFilter

Texts: TypeAlias = str | Iterable[str] | None
Levels: TypeAlias = str | float | Sequence[float] | None

_LEVELS = re.compile(r"(\d+(?:\.\d+)?)(?:\s*-\s*(\d+(?:\.\d+)?))?")
_ENDS = 2  # of a range


def song_filter(
    *,
    collections: Texts = None,
    tags: Texts = None,
    metres: Texts = None,
    level: Levels = None,
) -> SongFilter:
    """Build a filter that chooses the songs to which every fact given applies.

    Whether a catalogue has such songs is checked where the filter is used: a value that no song
    has raises an UnknownValueError there.

    Parameters
    ----------
    collections, tags, metres : str, several of them, or None
        A song matches if it has any one of the values, whatever their capitals; None or an empty
        list matches every song. A metre is "3/4" or the like, or "none" for free metre.
    level : number, str, pair of numbers, or None
        One level, ``2`` or "2", or the lowest and the highest, ``(2, 4)`` or "2-4". A song whose
        level is unknown matches no level.

    Returns
    -------
    SongFilter
        For the argument ``which`` of the functions that search, list or compare songs.

    Raises
    ------
    QueryError
        If a value is no text, or the level is none of these.

    Examples
    --------
    >>> song_filter(tags="rolls", level=2)
    SongFilter(collections=(), tags=('rolls',), metres=(), lowest_level=2.0, highest_level=2.0)
    """
    lowest, highest = _levels(level)
    return SongFilter(
        _texts(collections, "collection"),
        _texts(tags, "tag"),
        _texts(metres, "metre"),
        lowest,
        highest,
    )


def _texts(given: object, what: str) -> tuple[str, ...]:
    if given is None:
        return ()
    values: list[object] = [given]
    if isinstance(given, Iterable) and not isinstance(given, str):
        values = list(cast("Iterable[object]", given))
    for value in values:
        if not isinstance(value, str):
            raise QueryError(f"{value!r} is not a {what}.", "give a text, or a list of texts.")
    return tuple(cast("list[str]", values))


def _levels(given: object) -> tuple[float | None, float | None]:
    if given is None:
        return None, None
    lowest, highest = _from_text(given) if isinstance(given, str) else _from_numbers(given)
    if highest < lowest:
        raise QueryError(
            f"The levels {lowest:g} to {highest:g} run downwards.",
            f"write the lower one first: {highest:g}-{lowest:g}.",
        )
    return lowest, highest


def _from_text(text: str) -> tuple[float, float]:
    match = _LEVELS.fullmatch(text.strip())
    if match is None:
        raise QueryError(f"'{text}' is no level.", "write one number, or a range: 2-4.")
    return float(match[1]), float(match[2] or match[1])


def _from_numbers(given: object) -> tuple[float, float]:
    ends = cast("Sequence[object]", given) if isinstance(given, Sequence) else (given, given)
    numbers = [float(end) for end in ends if not isinstance(end, bool) and isinstance(end, Real)]
    if not len(numbers) == len(ends) == _ENDS or not all(map(math.isfinite, numbers)):
        raise QueryError(f"{given!r} is no level.", "give one number, or two: (2, 4).")
    return numbers[0], numbers[1]
