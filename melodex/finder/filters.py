"""Choose songs by what is known about them."""

import re
from collections.abc import Sequence

from melodex.errors import QueryError
from melodex.model.catalogue import SongFilter

_LEVELS = re.compile(r"(\d+(?:\.\d+)?)(?:\s*-\s*(\d+(?:\.\d+)?))?")


def song_filter(
    *,
    collections: Sequence[str] | None = None,
    tags: Sequence[str] | None = None,
    metres: Sequence[str] | None = None,
    level: str | None = None,
) -> SongFilter:
    """Choose the songs that answer to every fact given; None asks nothing.

    Parameters
    ----------
    level : str or None
        One level, "2", or a range, "2-4".

    Raises
    ------
    QueryError
        If the level is neither.
    """
    lowest, highest = _levels(level)
    return SongFilter(
        tuple(collections or ()), tuple(tags or ()), tuple(metres or ()), lowest, highest
    )


def _levels(text: str | None) -> tuple[float | None, float | None]:
    if text is None:
        return None, None
    match = _LEVELS.fullmatch(text.strip())
    if match is None:
        raise QueryError(f"'{text}' is no level.", "write one number, or a range: 2-4.")
    lowest = float(match[1])
    highest = float(match[2] or match[1])
    if highest < lowest:
        raise QueryError(f"The levels {text} run downwards.", f"write {match[2]}-{match[1]}.")
    return lowest, highest
