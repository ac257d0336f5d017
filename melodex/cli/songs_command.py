"""The command `songs`."""

from dataclasses import asdict
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

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
from melodex.cli.output import print_records
from melodex.cli.terminal import notice, print_table
from melodex.model.catalogue import SongEntry

if TYPE_CHECKING:
    from melodex.index.store import Catalogue


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
        str, typer.Argument(metavar="WORDS", help="Only songs whose titles contain these words.")
    ] = "",
    sort: Annotated[
        SortedBy, typer.Option("--sort", help="Sort by this column; unknown values come last.")
    ] = SortedBy.SONG,
    limit: Annotated[
        int | None, typer.Option("--limit", min=1, help="How many songs at most; all if not given.")
    ] = None,
    collection: CollectionOption = None,
    tag: TagOption = None,
    metre: MetreOption = None,
    level: LevelOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """List the songs of the catalogue.

    Other commands take a song's title, or a part that only this title has. Where two titles are
    alike, the song's id follows in brackets: use that. `--json` and `--csv` always list it.

    Examples
    --------
    melodex songs
    melodex songs waltz --level 1-3 --sort title
    """
    from melodex.finder.filters import song_filter
    from melodex.finder.list_songs import list_songs
    from melodex.index.store import open_catalogue

    which = song_filter(collections=collection, tags=tag, metres=metre, level=level)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = list_songs(opened, which, words=words, sort=sort.value)
        explain_if_empty(found, opened, which, "No title of these songs has all of the words.")
        print_records(
            SongEntry,
            found[:limit],
            lambda: _print_list(opened, found[:limit], count=len(found)),
            as_json=as_json,
            as_csv=as_csv,
        )


def _print_list(catalogue: "Catalogue", shown: list[SongEntry], *, count: int) -> None:
    from melodex.finder.song_labels import song_labels

    columns = {
        "title": "title",
        "collection": "collection",
        "key": "key",
        "metre": "metre",
        "measures #": "measures",
        "notes #": "notes",
        "level #": "level",
        "tags": "tags",
    }
    labels = song_labels(catalogue)
    if shown:
        print_table(
            columns,
            [
                asdict(entry) | {"title": labels[entry.song], "tags": ", ".join(entry.tags)}
                for entry in shown
            ],
        )
    listed = "" if len(shown) == count else f"{len(shown)} of "
    notice(f"{listed}{count} {'song' if count == 1 else 'songs'}.")
