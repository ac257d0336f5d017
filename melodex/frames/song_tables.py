"""Songs and what is known about them, as DataFrames."""

import pandas as pd

from melodex.finder.collection import list_songs as listing
from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.teaching.groups import songs_by
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, ListedSong, SongFilter


def list_songs(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    words: str = "",
    sort: str = "song",
    limit: int | None = None,
) -> pd.DataFrame:
    """List songs, a row each.

    Parameters
    ----------
    which : SongFilter
        The songs to list, from ``song_filter``.
    words : str
        Only songs whose title contains each of these words, in any order; case is ignored.
    sort : str
        A column: "song", "title", "collection", "key", "metre", "measures", "notes" or "level"
        (if none was given, the suggested one); unknown values come last.
    limit : int or None
        How many songs at most, 1 or more; None for all.

    Returns
    -------
    DataFrame
        ``song``: the song's id, which other functions take; ``title``; ``collection``; ``key``:
        "G major", None if the source states none; ``metre``: "4/4", or "none" for free metre;
        ``measures``, ``notes``: how many are written; ``level``: a number, missing if unknown;
        ``tags``: a tuple of texts; ``file``: where the song was read from; ``suggested_level``:
        estimated if no level was given, else missing; ``level_reasons``: why, a tuple of texts, the
        hardest first; ``uses``: a tuple of the techniques in its tab, None (unknown) if it has no
        tab; ``uses_in``: a tuple of dictionaries with ``technique`` and ``measures`` (empty if it
        is the whole song).

    Raises
    ------
    UnknownValueError
        If no song has a value of the filter, or no title one of the words; it lists the nearest.
    QueryError
        If there is no such column to sort by, or the limit is less than 1.

    Examples
    --------
    ::

        easy = melodex.list_songs(catalogue, melodex.song_filter(level=(1, 2)), sort="title")
        print(easy[["title", "key", "tags"]])
    """
    found = listing.list_songs(catalogue, which, words=words, sort=sort, limit=limit)
    return table_of(ListedSong, found)


def group_songs(catalogue: Catalogue, column: str, which: SongFilter = EVERY_SONG) -> pd.DataFrame:
    """Group songs by a column: a described fact, or one read from their files.

    Parameters
    ----------
    column : str
        A column of the CSV given to ``describe_songs``, such as "term", "level" or "tags"; or
        "collection", "key" or "metre"; "uses" for the techniques in tab; "estimated level" for the
        level given, else the one suggested.
    which : SongFilter
        The songs to group.

    Returns
    -------
    DataFrame
        A row for each song and value, a song of several tags in several rows. ``value``: what the
        column says, missing if it says nothing, texts that differ only in capitals spelled alike;
        ``song``: the id; ``title``. Ordered by value, numbers first and missing ones last, then
        by id.

    Raises
    ------
    QueryError
        If no song has such a column; it lists those there are.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        songs = melodex.group_songs(catalogue, "term")
        print(songs.groupby("value")["title"].count())
    """
    titles = dict(catalogue.titles())
    groups = songs_by(catalogue, chosen_songs(catalogue, which), column)
    rows = [(value, song, titles[song]) for value, songs in groups.items() for song in songs]
    return pd.DataFrame(rows, columns=["value", "song", "title"])
