"""The command `near`."""

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    CatalogueOption,
    SongArgument,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.printing.first_search_text import notice_if_first
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import notice

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.results.phrase import NearSong


@grouped_options
def near(
    song: SongArgument,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="List at most N songs.")
    ] = 20,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List the songs most like SONG, whole melody against whole melody, in any key.

    A score of 1 is the same melody in the same rhythm; two unrelated songs score 0 or little more.
    "By chance" is how many songs of this catalogue would be expected to score as high by
    coincidence; above 1, a song is marked "likely coincidence". `melodex shared SONG SONG` shows
    what two of them have in common.

    Examples
    --------
    melodex near "Weir in Spate"
    """
    from melodex.finder.nearest_songs import nearest_songs
    from melodex.index.store import open_catalogue
    from melodex.model.results.phrase import NearSong

    which = choice.filter()
    with open_catalogue(catalogue_path(catalogue)) as opened:
        notice_if_first(opened, "near")
        found = nearest_songs(opened, song, limit=limit, which=which)
        explain_if_empty(found, opened, which, "There is no other song to compare it with.")
        print_records(
            NearSong,
            found,
            lambda: _print_list(
                opened, found, limit, len({*opened.song_ids(which)} - {opened.resolve(song)})
            ),
            output,
        )


def _print_list(catalogue: "Catalogue", found: "list[NearSong]", limit: int, compared: int) -> None:
    from melodex.cli.printing.evidence_text import (
        SCORE_AND_CHANCE,
        evidence_cells,
        notice_if_only_coincidences,
        remark_column,
    )
    from melodex.cli.printing.list_ends import notice_if_limited
    from melodex.cli.printing.match_text import CAUTION
    from melodex.cli.terminal import print_table
    from melodex.finder.collection.song_labels import song_labels
    from melodex.notation.measure_names import half_steps_in_words

    if not found:
        return
    labels = song_labels(catalogue)
    rows = [
        asdict(near_song)
        | {
            "title": labels[near_song.song],
            "number": number,
            "key change": half_steps_in_words(near_song.transposition),
        }
        | evidence_cells(near_song.score, near_song.expected_by_chance)
        for number, near_song in enumerate(found, start=1)
    ]
    columns = {
        "": "number",
        **SCORE_AND_CHANCE,
        "title": "title",
        "half-steps": "key change",
        **remark_column(rows),
    }
    print_table(columns, rows)
    notice_if_limited(len(found), limit, "songs", total=compared)
    notice_if_only_coincidences(found)
    notice(CAUTION)
