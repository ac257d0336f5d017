"""The command `licks`."""

from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    CatalogueOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_csv, print_records
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.progress import looking_for_licks
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.cli.terminal import notice

if TYPE_CHECKING:
    from melodex.model.results.recurring import RecurringLick


@grouped_options
def licks(
    chord: Annotated[
        str | None,
        typer.Option("--chord", metavar="CHORD", help="Licks over this chord: C, Am, D7."),
    ] = None,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="List at most N licks.")
    ] = 20,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List the licks that recur in several tunes, the most surprising and widespread first.

    Each begins and ends at a musical boundary: a strong beat, a pickup, or the end of a phrase.
    The rhythm is the time from each note to the next: w h q e s t for whole, half, quarter, eighth,
    sixteenth and thirty-second, a dot for half as long again; 1/3, a part of a quarter note, is a
    triplet's eighth. Beats are counted in the metre's lower number: in 6/8, eighths. The tab is in
    open G unless the song has its own tab; the count is below it.

    `melodex keep NAME NUMBER` keeps a lick of this list under a name of your own, which this list,
    plans and reports then use.

    Examples
    --------
    melodex licks
    melodex licks --chord C --limit 5
    """
    from melodex.cli.printing.lick_table import csv_rows, why_no_lick
    from melodex.finder.recurring_licks import recurring_licks
    from melodex.index.store import open_catalogue
    from melodex.model.results.recurring import RecurringLick

    which = choice.filter()
    with open_catalogue(catalogue_path(catalogue)) as opened:
        songs = len(opened.song_ids(which))
        with looking_for_licks(songs) as progress:
            found = recurring_licks(
                opened, limit=limit, chord=chord, which=which, progress=progress
            )
        reason = why_no_lick(songs, chord)
        explain_if_empty(found, opened, which, reason)
    if output.as_csv:
        print_csv(list(RecurringLick.__slots__), csv_rows(found))
    else:
        print_records(
            RecurringLick,
            found,
            lambda: _print_list(found, limit),
            output,
        )


def _print_list(found: "list[RecurringLick]", limit: int) -> None:
    from melodex.cli.printing.lick_table import print_licks
    from melodex.cli.printing.list_ends import notice_if_limited
    from melodex.cli.printing.match_text import CAUTION

    if found:
        print_licks(found)
        notice_if_limited(len(found), limit, "licks")
        notice(CAUTION)
