"""Group songs by a column: a fact that was described of them, or what their source says."""

from collections import defaultdict
from collections.abc import Sequence

from melodex.errors import QueryError
from melodex.index.store import Catalogue

Value = str | float | None
READ = ("collection", "key", "metre")  # from the songs' files; every other column was described


def songs_by(catalogue: Catalogue, songs: Sequence[str], column: str) -> dict[Value, list[str]]:
    """Gather songs of which a column says the same; capitals do not matter.

    A song of several tags is in several groups, one of which nothing is known in the group None.

    Returns
    -------
    dict
        Ids by value: numbers first, then texts, None last.

    Raises
    ------
    QueryError
        If no song has such a column; it names those there are.
    """
    groups: defaultdict[Value, list[str]] = defaultdict(list)
    spelled: dict[Value, Value] = {}  # as the first song spells it
    columns = set(READ)
    for song in songs:
        entry = catalogue.entry(song)
        facts = catalogue.facts(song) | {name: (getattr(entry, name),) for name in READ}
        columns |= facts.keys()
        for value in facts.get(column, (None,)):
            folded = value.casefold() if isinstance(value, str) else value
            groups[spelled.setdefault(folded, value)].append(song)
    if songs and column not in columns:
        raise QueryError(
            f"These songs have no column '{column}'.", f"use {', '.join(sorted(columns))}."
        )
    return {value: groups[value] for value in sorted(groups, key=_in_order)}


def _in_order(value: Value) -> tuple[bool, bool, float, str]:
    text = value.casefold() if isinstance(value, str) else ""
    number = value if isinstance(value, float | int) else 0.0
    return value is None, isinstance(value, str), number, text
