"""Validate the limits of a lesson plan."""

from collections.abc import Iterable
from numbers import Real
from typing import Any, cast

from melodex.errors import QueryError, shown

LARGEST_LIMIT = 1_000_000  # levels or measures; the solver counts in 64-bit integers
_PAIR = 2


def check_number(name: str, value: object, *, lowest: int = 0, whole: bool = True) -> None:
    """Raise a QueryError if a limit is neither None nor a number in range."""
    if value is None:
        return
    number = cast("Any", value)
    is_number = not isinstance(value, bool) and isinstance(value, Real)
    if not (is_number and lowest <= number <= LARGEST_LIMIT and not (whole and number % 1)):
        kind = "a whole number" if whole else "a number"
        raise QueryError(
            f"The limit '{name}' cannot be {shown(value)}.",
            f"give {kind} from {lowest} to {LARGEST_LIMIT:,}.",
        )


def check_songs(songs: Iterable[object]) -> None:
    """Raise a QueryError if a song is not given as text."""
    for song in songs:
        if not isinstance(song, str):
            raise QueryError(f"{shown(song)} is not a song.", "give an id or a part of a title.")


def refuse_both(named: Iterable[str], left_out: Iterable[str]) -> None:
    """Raise a QueryError if a song is both required and excluded."""
    for song in sorted({*named} & {*left_out}):
        raise QueryError(
            f"{song!r} must come and must not come.", "leave out one of the two limits."
        )


def as_pairs(name: str, given: Iterable[object]) -> tuple[tuple[Any, Any], ...]:
    """Return pairs as tuples, from any kind of sequence.

    Raises
    ------
    QueryError
        If an element is not a pair.
    """
    pairs: list[tuple[Any, Any]] = []
    for pair in given:
        text = shown(pair)
        ends = cast("list[Any]", pair if isinstance(pair, list | tuple) else [])
        if len(ends) != _PAIR:
            raise QueryError(f"The limit '{name}' has {text}.", "give pairs: [(one, other)].")
        pairs.append((ends[0], ends[1]))
    return tuple(pairs)
