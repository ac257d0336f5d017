"""Song filters as SQL conditions, and the values that songs can be filtered by."""

import sqlite3
from collections.abc import Sequence
from typing import Any, NamedTuple

from melodex.features.technique_names import technique_key
from melodex.model.catalogue import SongFilter
from melodex.model.description import LEVEL, TAGS

_FACT_VALUES = "SELECT DISTINCT value FROM fact WHERE name = '{}'"
_SUGGESTED = "SELECT level FROM suggestion"
_VALUES = {
    "collection": "SELECT DISTINCT collection FROM song",
    "metre": "SELECT DISTINCT metre FROM song",
    "tag": _FACT_VALUES.format(TAGS),
    "level": _FACT_VALUES.format(LEVEL),
    "technique": "SELECT DISTINCT name FROM technique",
    "estimated level": f"{_FACT_VALUES.format(LEVEL)} UNION {_SUGGESTED}",
}

_HAS_FACT = "EXISTS (SELECT 1 FROM fact WHERE fact.song = song.id AND fact.name = '{}' AND {})"
_USES = "song.song IN (SELECT song FROM technique WHERE key IN ({}))"
# A song has a level of one kind only.
_HAS_SUGGESTION = "song.song IN (SELECT song FROM suggestion WHERE level {} ?)"


class Condition(NamedTuple):
    """What follows WHERE, and the values of its question marks."""

    text: str
    values: tuple[str | float, ...]


def condition_of(which: SongFilter) -> Condition:
    """Write a filter as a condition on rows of table ``song``.

    Texts are compared by the SQL function ``casefold``, which the catalogue defines. Where the
    filter ``needs_estimates``, their tables have to be there (see ``estimates.py``).
    """
    conditions = [
        _any_of("casefold(song.collection) IN ({})", which.collections),
        _any_of(_HAS_FACT.format(TAGS, "casefold(fact.value) IN ({})"), which.tags),
        _any_of("casefold(song.metre) IN ({})", which.metres),
        _any_of(_USES, [technique_key(name) for name in which.uses]),
        _bound(">=", which.lowest_level, estimated=which.estimated),
        _bound("<=", which.highest_level, estimated=which.estimated),
    ]
    given = [condition for condition in conditions if condition.values]
    return Condition(
        " AND ".join(condition.text for condition in given) or "TRUE",
        tuple(value for condition in given for value in condition.values),
    )


def has_any_song(connection: sqlite3.Connection, which: SongFilter) -> bool:
    """Return whether any song matches a filter; stops at the first."""
    text, values = condition_of(which)
    query = f"SELECT EXISTS (SELECT 1 FROM song WHERE {text})"  # noqa: S608 - our own words
    return bool(connection.execute(query, values).fetchone()[0])


def known_values(connection: sqlite3.Connection, fact: str) -> list[Any]:
    """Return the distinct values of a fact that songs are filtered by, in no order.

    Parameters
    ----------
    fact : str
        "collection", "metre", "tag" or "technique", whose values are texts; "level" or "estimated
        level" (those given and those suggested), whose values are numbers.
    """
    return [value for (value,) in connection.execute(_VALUES[fact])]


def _any_of(template: str, choices: Sequence[str]) -> Condition:
    marks = ", ".join("?" * len(choices))
    return Condition(template.format(marks), tuple(choice.casefold() for choice in choices))


def _bound(sign: str, level: float | None, *, estimated: bool) -> Condition:
    if level is None:
        return Condition("", ())
    given = _HAS_FACT.format(LEVEL, f"fact.value {sign} ?")
    if not estimated:
        return Condition(given, (level,))
    return Condition(f"({given} OR {_HAS_SUGGESTION.format(sign)})", (level, level))
