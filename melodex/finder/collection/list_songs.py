"""List the songs of a catalogue."""

from collections.abc import Callable, Iterable
from operator import itemgetter

from melodex.errors import QueryError
from melodex.finder.collection.chosen_songs import refuse_unknown_values, refuse_unknown_words
from melodex.finder.collection.estimates_of_songs import Estimates
from melodex.finder.row_limit import row_limit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, ListedSong, SongEntry, SongFilter

SORTABLE = ("song", "title", "collection", "key", "metre", "measures", "notes", "level")
_BY_LEVEL = "level"


def list_songs(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    words: str = "",
    sort: str = "song",
    limit: int | None = None,
) -> list[ListedSong]:
    """List songs, without their notes, with estimates.

    Parameters
    ----------
    which : SongFilter
        The songs wanted.
    words : str
        Only songs whose title contains each of these words, in any order; case is ignored.
    sort : str
        A fact of SORTABLE; ties by song id, unknown values last. If a song was given no level, the
        suggested one counts.
    limit : int or None
        How many songs at most; None for all.

    Raises
    ------
    QueryError
        If there is no such fact to sort by, or the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter, or no title one of the words.
    """
    found = sorted_songs(catalogue, which, words=words, sort=sort)[: row_limit(limit)]
    return with_estimates(catalogue, found)


def with_estimates(catalogue: Catalogue, songs: Iterable[SongEntry]) -> list[ListedSong]:
    """Return the facts of songs together with their estimates."""
    estimates = Estimates(catalogue)
    return [estimates.listed(entry) for entry in songs]


def sorted_songs(
    catalogue: Catalogue, which: SongFilter = EVERY_SONG, *, words: str = "", sort: str = "song"
) -> list[SongEntry]:
    """List songs as ``list_songs`` does, without estimates.

    Raises
    ------
    QueryError
        If there is no such fact to sort by.
    UnknownValueError
        If no song has a value of the filter, or no title one of the words.
    """
    if sort not in SORTABLE:
        raise QueryError(f"Songs cannot be sorted by '{sort}'.", f"use {', '.join(SORTABLE)}.")
    refuse_unknown_values(catalogue, which)
    refuse_unknown_words(catalogue, words)
    wanted = words.casefold().split()
    found = [
        entry
        for entry in catalogue.entries(which)
        if all(word in entry.title.casefold() for word in wanted)
    ]
    suggested = Estimates(catalogue).suggested_level if sort == _BY_LEVEL else _none
    values = [(_value(entry, sort, suggested), entry) for entry in found]
    known = [(_in_order(value), entry) for value, entry in values if value is not None]
    known.sort(key=itemgetter(0))
    return [*(entry for _, entry in known), *(entry for value, entry in values if value is None)]


def _none(_song: str) -> None:
    return None


def _value(
    entry: SongEntry, sort: str, suggested: Callable[[str], float | None]
) -> str | float | None:
    value: str | float | None = getattr(entry, sort)
    return suggested(entry.song) if value is None else value


def _in_order(value: str | float) -> str | float:
    return value.casefold() if isinstance(value, str) else value
