"""The command `find`."""

from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    NO_VALUE,
    CatalogueOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.printing.first_search_text import notice_if_first
from melodex.cli.query_options import NO_LICK, LickOptions, QueryForms, ShapeOption
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.lick import Lick
    from melodex.model.results.match import Match, ShapeMatch


@grouped_options
def find(
    given: LickOptions = NO_LICK,
    shape: ShapeOption = None,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="List at most N songs.")
    ] = 20,
    show: Annotated[
        int,
        typer.Option("--show", min=0, metavar="N", help="Print the notes of the first N matches."),
    ] = 3,
    all_places: Annotated[
        bool,
        typer.Option(
            "--all-places",
            metavar=NO_VALUE,
            help="List every place in a song, a row each, not only the first.",
        ),
    ] = False,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """Find the songs that use a lick, in any key, the closest first.

    A score of 1 means the same notes in the same rhythm. "By chance" is how many of the songs
    searched would be expected to match as well by coincidence; above 1, a match is marked "likely
    coincidence". Rows are in that order, which also counts whether the tonics of lick and song
    agree. Give six notes or more: shorter licks occur everywhere.

    Examples
    --------
    melodex find --notes "D4:e E4 D4 B3 G3 A3 E3 F#3 G3:h"
    melodex find --from "Weir in Spate" --measures 7-8 --level 1-3
    melodex find --shape "up, step down, leap down, down, step up, leap down, up, up long"
    """
    from melodex.finder.find_lick import find_lick
    from melodex.finder.find_shape import find_shape
    from melodex.index.store import open_catalogue
    from melodex.model.results.match import Match, ShapeMatch

    forms = QueryForms(given, shape=shape)
    which = choice.filter()
    with open_catalogue(catalogue_path(catalogue)) as opened:
        if shape is not None:
            moving = find_shape(opened, shape, limit=limit, which=which, all_places=all_places)
            explain_if_empty(moving, opened, which, "No song is long enough for this shape.")
            print_records(
                ShapeMatch,
                moving,
                lambda: print_shape_matches(
                    opened, moving, limit=limit, searched=len(opened.song_ids(which))
                ),
                output,
            )
            return
        lick = forms.lick(opened)
        notice_if_first(opened, "find")
        matches = find_lick(opened, lick, limit=limit, which=which, all_places=all_places)
        explain_if_empty(matches, opened, which, "No song is long enough for this lick.")
        print_records(
            Match,
            matches,
            lambda: print_matches(
                opened, lick, matches, show=show, limit=limit, searched=len(opened.song_ids(which))
            ),
            output,
        )


def print_matches(
    catalogue: "Catalogue",
    lick: "Lick",
    matches: "list[Match]",
    *,
    show: int,
    limit: int,
    searched: int,
) -> None:
    """Print matches for people: a table, the notes of the first few, and the cautions.

    Parameters
    ----------
    show : int
        For how many matches to print the notes.
    limit : int
        How many songs are listed at most.
    searched : int
        How many songs were searched.
    """
    from melodex.cli.printing.list_ends import notice_if_limited
    from melodex.cli.printing.match_text import print_cautions, print_match_table, print_notes_of
    from melodex.finder.collection.song_labels import song_labels

    if not matches:
        return
    labels = song_labels(catalogue)
    print_match_table(matches, labels)
    notice_if_limited(len({match.song for match in matches}), limit, "songs", total=searched)
    print_notes_of(catalogue, lick, matches[:show], labels)
    print_cautions(lick, matches)


def print_shape_matches(
    catalogue: "Catalogue", matches: "list[ShapeMatch]", *, limit: int, searched: int
) -> None:
    """Print for people the songs that follow a shape, with the notes that do, and the cautions.

    Parameters
    ----------
    limit : int
        How many songs are listed at most.
    searched : int
        How many songs were searched.
    """
    from melodex.cli.printing.list_ends import notice_if_limited
    from melodex.cli.printing.match_text import print_shape_cautions, print_shape_table

    if not matches:
        return
    print_shape_table(catalogue, matches)
    notice_if_limited(len({match.song for match in matches}), limit, "songs", total=searched)
    print_shape_cautions(matches)
