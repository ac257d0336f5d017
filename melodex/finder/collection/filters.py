"""Choose songs by what is known about them."""

import re
from collections.abc import Iterable, Mapping, Sequence
from numbers import Real
from typing import TypeAlias, cast

from melodex.errors import QueryError, shown
from melodex.model.catalogue import SongFilter

Texts: TypeAlias = str | Iterable[str] | None
Levels: TypeAlias = str | float | Sequence[float] | None

_LARGEST_LEVEL = 10**9
_NUMBER = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"  # more digits would be read as infinite
_LEVELS = re.compile(rf"({_NUMBER})(?:\s*-\s*({_NUMBER}))?")
_ENDS = 2  # of a range


def song_filter(  # noqa: PLR0913 - as many as there are facts to choose by
    *,
    collections: Texts = None,
    tags: Texts = None,
    metres: Texts = None,
    level: Levels = None,
    uses: Texts = None,
    estimated: bool = False,
    sets: Texts = None,
    facts: Mapping[str, Texts] | None = None,
) -> SongFilter:
    """Build a filter that chooses the songs that match every fact given.

    Whether a catalogue has such songs is checked where the filter is used: a value that no song
    has raises an UnknownValueError there.

    Parameters
    ----------
    collections, tags, metres : str, several of them, or None
        A song matches if it has any one of the values, case ignored; None or an empty list matches
        every song. A metre is "3/4" or the like, or "none" for free metre.
    level : number, str, pair of numbers, or None
        One level, ``2`` or "2", or the lowest and the highest, ``(2, 4)`` or "2-4". A song whose
        level is unknown matches no level.
    uses : str, several of them, or None
        Techniques, such as "slide", "forward-reverse" or "up the neck" (``list_songs`` lists those
        of each song); a song matches if its tab uses any one of them. A song without tab matches
        none.
    estimated : bool
        Whether songs that were given no level match by the level suggested for them.
    sets : str, several of them, or None
        Names of sets of songs that are saved in the catalogue.
    facts : dict or None
        Described columns and their values, ``{"term": "autumn"}``; a song matches if it has one of
        the values in each of the columns.

    Returns
    -------
    SongFilter
        For the argument ``which`` of the functions that search, list or compare songs.

    Raises
    ------
    QueryError
        If a value is not a text, the level is not valid, or estimated levels are to count and no
        level is given.

    Examples
    --------
    >>> song_filter(tags="rolls", level=2)
    SongFilter(collections=(), tags=('rolls',), metres=(), lowest_level=2.0, highest_level=2.0, \
uses=(), estimated=False, sets=(), facts=())
    """
    lowest, highest = _levels(level)
    if estimated and level is None:
        raise QueryError(
            "Estimated levels count only where songs are chosen by level.",
            "give a level as well, or leave that out.",
        )
    return SongFilter(
        _texts(collections, "collection"),
        _texts(tags, "tag"),
        _texts(metres, "metre"),
        lowest,
        highest,
        uses=_texts(uses, "technique"),
        estimated=estimated,
        sets=_texts(sets, "set"),
        facts=tuple(
            (column.casefold(), value)
            for column, values in (facts or {}).items()
            for value in _texts(values, column)
        ),
    )


def facts_in(conditions: Iterable[str]) -> dict[str, list[str]]:
    """Read conditions such as "term=autumn", as ``song_filter`` takes them.

    Raises
    ------
    QueryError
        If one is not of this form.
    """
    facts: dict[str, list[str]] = {}
    for condition in conditions:
        column, equals, value = (part.strip() for part in condition.partition("="))
        if not (column and equals and value):
            raise QueryError(
                f"{shown(condition)} is not a column and its value.", "write COLUMN=VALUE."
            )
        facts.setdefault(column.casefold(), []).append(value)
    return facts


def _texts(given: object, what: str) -> tuple[str, ...]:
    if given is None:
        return ()
    values: list[object] = [given]
    if isinstance(given, Iterable) and not isinstance(given, str):
        values = list(cast("Iterable[object]", given))
    for value in values:
        if not isinstance(value, str):
            raise QueryError(f"{shown(value)} is not a {what}.", "give a text, or a list of texts.")
    return tuple(cast("list[str]", values))


def _levels(given: object) -> tuple[float | None, float | None]:
    if given is None:
        return None, None
    lowest, highest = _from_text(given) if isinstance(given, str) else _from_numbers(given)
    if highest < lowest:
        raise QueryError(
            f"The levels {lowest:g} to {highest:g} are in descending order.",
            f"write the lower one first: {highest:g}-{lowest:g}.",
        )
    return lowest, highest


def _from_text(text: str) -> tuple[float, float]:
    match = _LEVELS.fullmatch(text.strip())
    if match is None:
        raise QueryError(f"{shown(text)} is not a level.", "write one number, or a range: 2-4.")
    return float(match[1]), float(match[2] or match[1])


def _from_numbers(given: object) -> tuple[float, float]:
    text = shown(given)
    ends = cast("Sequence[object]", given) if isinstance(given, Sequence) else (given, given)
    numbers = [float(cast("float", end)) for end in ends if _is_level(end)]
    if not len(numbers) == len(ends) == _ENDS:
        raise QueryError(f"{text} is not a level.", "give one number, or two: (2, 4).")
    return numbers[0], numbers[1]


def _is_level(end: object) -> bool:
    is_number = not isinstance(end, bool) and isinstance(end, Real)
    return is_number and bool(abs(cast("float", end)) < _LARGEST_LEVEL)
