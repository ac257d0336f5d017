"""The command `songs`."""

from dataclasses import asdict
from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    CatalogueOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import notice, print_table
from melodex.model.catalogue import ListedSong

if TYPE_CHECKING:
    from melodex.index.store import Catalogue


class SortedBy(StrEnum):
    """The column that a list of songs is sorted by."""

    SONG = "song"
    TITLE = "title"
    COLLECTION = "collection"
    KEY = "key"
    METRE = "metre"
    MEASURES = "measures"
    NOTES = "notes"
    LEVEL = "level"


@grouped_options
def songs(
    words: Annotated[
        str, typer.Argument(metavar="WORDS", help="Only songs whose titles contain these words.")
    ] = "",
    sort: Annotated[
        SortedBy, typer.Option("--sort", help="Sort by this column, unknown values last.")
    ] = SortedBy.SONG,
    limit: Annotated[
        int | None,
        typer.Option("--limit", min=1, metavar="N", help="List at most N songs; all if not given."),
    ] = None,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List the songs of the catalogue.

    Other commands take a song's title, or a part that only this title has. If several songs have
    one title, use the song's id, which `--json` and `--csv` list.

    A level marked as estimated is suggested from range, leaps, rhythm, speed and, where there is
    tab, both hands. `--json` has the reasons, and the measures of each technique.

    Examples
    --------
    melodex songs
    melodex songs waltz --level 1-3 --sort title
    melodex songs --uses forward-reverse --uses slide --json
    """
    from melodex.finder.collection.list_songs import sorted_songs, with_estimates
    from melodex.index.store import open_catalogue

    which = choice.filter()
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = sorted_songs(opened, which, words=words, sort=sort.value)
        explain_if_empty(found, opened, which, "No title of these songs has all of the words.")
        shown = with_estimates(opened, found[:limit])
        print_records(
            ListedSong,
            shown,
            lambda: _print_list(opened, shown, which.uses, count=len(found)),
            output,
        )


def _print_list(
    catalogue: "Catalogue", shown: list[ListedSong], techniques: tuple[str, ...], *, count: int
) -> None:
    """Print songs with the techniques that they use, and the measures of those looked for."""
    from melodex.finder.collection.song_labels import song_labels
    from melodex.report.estimate_words import level_in_words, of_these, uses_in_words

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
    if any(entry.uses for entry in shown):
        columns["uses"] = "uses"
    labels = song_labels(catalogue)
    if shown:
        print_table(
            columns,
            [
                asdict(entry)
                | {
                    "title": labels[entry.song],
                    "tags": ", ".join(entry.tags),
                    "level": level_in_words(entry.level, entry.suggested_level) or None,
                    "uses": uses_in_words(of_these(entry.uses_in, techniques))
                    or ", ".join(entry.uses or ())
                    or None,
                }
                for entry in shown
            ],
        )
    listed = "" if len(shown) == count else f"{len(shown)} of "
    notice(f"{listed}{count} {'song' if count == 1 else 'songs'}.")
