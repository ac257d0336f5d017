"""Translate song filters to SQL conditions, and list the values that songs can be filtered by."""

import sqlite3
from collections.abc import Sequence
from typing import Any, NamedTuple

from melodex.features.playing.technique_names import technique_key
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
    "set": "SELECT name FROM saved_work WHERE kind = 'set'",
    "estimated level": f"{_FACT_VALUES.format(LEVEL)} UNION {_SUGGESTED}",
}

_HAS_FACT = "EXISTS (SELECT 1 FROM fact WHERE fact.song = song.id AND fact.name = '{}' AND {})"
_SAYS = (
    "EXISTS (SELECT 1 FROM fact WHERE fact.song = song.id AND fact.name = ? "
    "AND casefold(CAST(fact.value AS TEXT)) IN ({}))"
)
# A set is a header followed by one id a line (finder/own_work.py); ids need no JSON escapes.
_IN_SET = """song.song IN (
    SELECT each.value FROM saved_work, json_each(
        '["' || replace(trim(substr(content, instr(content, char(10))), char(10)), char(10), '","')
        || '"]') AS each
    WHERE kind = 'set' AND folded_name IN ({}))"""
_USES = "song.song IN (SELECT song FROM technique WHERE key IN ({}))"
# A song has either a stated or a suggested level.
_HAS_SUGGESTION = "song.song IN (SELECT song FROM suggestion WHERE level {} ?)"


class Condition(NamedTuple):
    """An SQL condition, and the values of its placeholders."""

    text: str
    values: tuple[str | float, ...]


def condition_of(which: SongFilter) -> Condition:
    """Return a filter as a condition on rows of table ``song``.

    Texts are compared by the SQL function ``casefold``, which the catalogue defines. If the filter
    ``needs_estimates``, their tables must exist (see ``estimates.py``).
    """
    conditions = [
        _any_of("casefold(song.collection) IN ({})", which.collections),
        _any_of(_HAS_FACT.format(TAGS, "casefold(fact.value) IN ({})"), which.tags),
        _any_of("casefold(song.metre) IN ({})", which.metres),
        _any_of(_USES, [technique_key(name) for name in which.uses]),
        _bound(">=", which.lowest_level, estimated=which.estimated),
        _bound("<=", which.highest_level, estimated=which.estimated),
        _any_of(_IN_SET, which.sets),
        *_fact_conditions(which.facts),
    ]
    given = [condition for condition in conditions if condition.values]
    return Condition(
        " AND ".join(condition.text for condition in given) or "TRUE",
        tuple(value for condition in given for value in condition.values),
    )


def has_any_song(connection: sqlite3.Connection, which: SongFilter) -> bool:
    """Return whether any song matches a filter; stops at the first."""
    text, values = condition_of(which)
    query = f"SELECT EXISTS (SELECT 1 FROM song WHERE {text})"  # noqa: S608 - constants
    return bool(connection.execute(query, values).fetchone()[0])


def known_values(connection: sqlite3.Connection, fact: str) -> list[Any]:
    """Return the distinct values of a fact that songs are filtered by, in any order.

    Parameters
    ----------
    fact : str
        "collection", "metre", "tag", "set" or "technique", whose values are texts; "level" or
        "estimated level" (both stated and suggested), whose values are numbers; or the name of a
        described column.
    """
    if fact in _VALUES:
        return [value for (value,) in connection.execute(_VALUES[fact])]
    rows = connection.execute("SELECT DISTINCT value FROM fact WHERE name = ?", (fact,))
    return [value for (value,) in rows]


def described_columns(connection: sqlite3.Connection) -> dict[str, list[str]]:
    """Return the described columns except levels and tags, each with its values."""
    rows = connection.execute(
        "SELECT DISTINCT name, value FROM fact WHERE name NOT IN (?, ?) ORDER BY name, value",
        (LEVEL, TAGS),
    )
    columns: dict[str, list[str]] = {}
    for name, value in rows:
        columns.setdefault(name, []).append(str(value))
    return columns


def _fact_conditions(facts: Sequence[tuple[str, str]]) -> list[Condition]:
    """Require each column to have one of its given values."""
    conditions: list[Condition] = []
    for column in dict.fromkeys(name for name, _ in facts):
        text, values = _any_of(_SAYS, [value for name, value in facts if name == column])
        conditions.append(Condition(text, (column, *values)))
    return conditions


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
