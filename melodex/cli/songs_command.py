"""The command `songs`."""

from dataclasses import asdict
from enum import StrEnum
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.empty_result import explain_if_empty
from melodex.cli.options import (
    CatalogueOption,
    CollectionOption,
    CsvOption,
    JsonOption,
    LevelOption,
    MetreOption,
    TagOption,
)
from melodex.cli.output import notice, print_records, print_table
from melodex.model.catalogue import SongEntry


class SortedBy(StrEnum):
    """The fact that a list of songs is sorted by."""

    SONG = "song"
    TITLE = "title"
    COLLECTION = "collection"
    KEY = "key"
    METRE = "metre"
    MEASURES = "measures"
    NOTES = "notes"
    LEVEL = "level"


def songs(
    words: Annotated[
        str, typer.Argument(metavar="[WORDS]", help="Only songs whose title has these words.")
    ] = "",
    sort: Annotated[
        SortedBy, typer.Option("--sort", help="Order by this; what is unknown comes last.")
    ] = SortedBy.SONG,
    collection: CollectionOption = None,
    tag: TagOption = None,
    metre: MetreOption = None,
    level: LevelOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """List the songs of the catalogue.

    The first column is the song's id, which other commands take in place of its title.
    """
    from melodex.finder.filters import song_filter
    from melodex.finder.list_songs import list_songs
    from melodex.index.store import open_catalogue

    which = song_filter(collections=collection, tags=tag, metres=metre, level=level)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = list_songs(opened, which, words=words, sort=sort.value)
        explain_if_empty(found, opened, which, "No title of these songs has all of the words.")
    print_records(SongEntry, found, lambda: _print_list(found), as_json=as_json, as_csv=as_csv)


def _print_list(found: list[SongEntry]) -> None:
    columns = {
        "song": "song",
        "title": "title",
        "collection": "collection",
        "key": "key",
        "metre": "metre",
        "measures #": "measures",
        "notes #": "notes",
        "level #": "level",
        "tags": "tags",
    }
    if found:
        print_table(columns, [asdict(entry) for entry in found])
    notice(f"{len(found)} {'song' if len(found) == 1 else 'songs'}.")
