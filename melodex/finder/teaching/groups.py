"""Group songs by a column: a described fact, or one read from their files."""

from collections import defaultdict
from collections.abc import Sequence

from melodex.errors import QueryError
from melodex.finder.collection.estimates_of_songs import Estimates
from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry

GroupValue = str | float | None
READ = ("collection", "key", "metre")  # from the songs' files
USES, ESTIMATED_LEVEL = "uses", "estimated level"
ESTIMATED = (USES, ESTIMATED_LEVEL)  # every other column was described


def songs_by(
    catalogue: Catalogue, songs: Sequence[str], column: str
) -> dict[GroupValue, list[str]]:
    """Group songs by their value in a column; case is ignored.

    A song with several tags or techniques is in several groups; one without a value is in the group
    None. "uses" has the techniques of songs with tab; "estimated level" the levels that songs were
    given, else those suggested for them.

    Returns
    -------
    dict
        Ids by value: numbers first, then texts, None last.

    Raises
    ------
    QueryError
        If no song has such a column; it lists the columns.
    """
    groups: defaultdict[GroupValue, list[str]] = defaultdict(list)
    estimates = Estimates(catalogue) if column in ESTIMATED else None
    spelled: dict[GroupValue, GroupValue] = {}  # as the first song spells it
    columns = set(READ)
    for song in songs:
        entry = catalogue.entry(song)
        facts = catalogue.facts(song) | {name: (getattr(entry, name),) for name in READ}
        if estimates and column not in facts:
            facts |= _estimated(estimates, entry)
        columns |= facts.keys()
        for value in facts.get(column, (None,)):
            folded = value.casefold() if isinstance(value, str) else value
            groups[spelled.setdefault(folded, value)].append(song)
    if songs and column not in {*columns, *ESTIMATED}:
        raise QueryError(
            f"These songs have no column '{column}'.",
            f"use {', '.join(sorted(columns))}, or what is estimated: {', '.join(ESTIMATED)}.",
        )
    return {value: groups[value] for value in sorted(groups, key=_in_order)}


def _estimated(estimates: Estimates, entry: SongEntry) -> dict[str, tuple[str | float, ...]]:
    """Return the estimated columns of a song, those that are known."""
    uses = estimates.uses(entry.song)
    suggested = estimates.suggested_level(entry.song)
    level = suggested if entry.level is None else entry.level
    found: dict[str, tuple[str | float, ...]] = {}
    if uses is not None:
        found[USES] = tuple(use.technique for use in uses)
    if level is not None:
        found[ESTIMATED_LEVEL] = (level,)
    return found


def _in_order(value: GroupValue) -> tuple[bool, bool, float, str]:
    text = value.casefold() if isinstance(value, str) else ""
    number = value if isinstance(value, float | int) else 0.0
    return value is None, isinstance(value, str), number, text
