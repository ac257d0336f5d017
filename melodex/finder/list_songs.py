"""List what the catalogue holds."""

from melodex.errors import QueryError
from melodex.finder.chosen_songs import refuse_unknown_values, refuse_unknown_words
from melodex.finder.row_limit import row_limit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongEntry, SongFilter

SORTABLE = ("song", "title", "collection", "key", "metre", "measures", "notes", "level")


def list_songs(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    words: str = "",
    sort: str = "song",
    limit: int | None = None,
) -> list[SongEntry]:
    """List songs without their notes.

    Parameters
    ----------
    which : SongFilter
        The songs wanted.
    words : str
        Only songs whose title holds each of these words, in any order; capitals do not matter.
    sort : str
        A fact of SORTABLE; ties by song id, what is unknown last.
    limit : int or None
        How many songs at most; None for all.

    Raises
    ------
    QueryError
        If there is no such fact to sort by, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter, or no title one of the words.
    """
    if sort not in SORTABLE:
        raise QueryError(f"Songs cannot be sorted by '{sort}'.", f"use {', '.join(SORTABLE)}.")
    limit = row_limit(limit)
    refuse_unknown_values(catalogue, which)
    refuse_unknown_words(catalogue, words)
    wanted = words.casefold().split()
    found = [
        entry
        for entry in catalogue.entries(which)
        if all(word in entry.title.casefold() for word in wanted)
    ]
    known = [entry for entry in found if getattr(entry, sort) is not None]
    unknown = [entry for entry in found if getattr(entry, sort) is None]
    return (sorted(known, key=lambda entry: _in_order(getattr(entry, sort))) + unknown)[:limit]


def _in_order(value: str | float) -> str | float:
    return value.casefold() if isinstance(value, str) else value
