"""The command `place`."""

from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import CatalogueOption, SongArgument
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.printing.placement_text import print_places, print_remarks
from melodex.cli.printing.tab_output import (
    CountOption,
    OctavesOption,
    WriteOption,
    write_and_notice,
)
from melodex.cli.query_options import NO_LICK, LickOptions, QueryForms


@grouped_options
def place(
    song: SongArgument,
    given: LickOptions = NO_LICK,
    limit: Annotated[
        int, typer.Option("--limit", min=1, metavar="N", help="List at most N places.")
    ] = 3,
    octaves: OctavesOption = None,
    count: CountOption = False,
    write: WriteOption = None,
    number: Annotated[
        int,
        typer.Option(
            "--number", min=1, metavar="N", help="With --write: which place to use, 1 for the best."
        ),
    ] = 1,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """Find where a lick fits into SONG, and write SONG with the lick in it.

    The fit, from 0 to 1, rates the chords there, what the lick replaces (a rest or held note that
    it fills, or a melody that it can stand for), and how it joins its neighbours. The lick is
    transposed, fingered and shown beside what it replaces.

    Examples
    --------
    melodex place Unlatched --lick "first fill"
    melodex place Unlatched --lick "first fill" --write unlatched.musicxml
    """
    from melodex.finder.place_lick import place_lick
    from melodex.finder.written_files import TAB_FILE
    from melodex.index.store import open_catalogue
    from melodex.model.results.placement import Placement

    forms = QueryForms(given)
    TAB_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = place_lick(opened, song, forms.lick(opened), octaves=octaves, count=count)
    print_remarks(found.remarks)
    placements = [place.placement for place in found.places[:limit]]
    print_records(
        Placement,
        placements,
        lambda: print_places(placements, found.heading, limit, len(found.places)),
        output,
    )
    if write is not None:
        write_and_notice(found.place(number).tab, write, count=count)
