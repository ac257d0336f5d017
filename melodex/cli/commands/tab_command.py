"""The command `tab`."""

from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import NO_VALUE, CatalogueOption, SongArgument
from melodex.cli.printing.tab_output import (
    CountOption,
    OctavesOption,
    TabMeasuresOption,
    WriteOption,
    show_or_write,
)
from melodex.parsing.measure_range import measure_range


def tab(
    song: SongArgument,
    measures: TabMeasuresOption = None,
    tuning: Annotated[
        str | None,
        typer.Option(
            "--tuning", metavar="NAME", help="Finger it again for 'open G', 'double C', gDGBD, ..."
        ),
    ] = None,
    capo: Annotated[
        int, typer.Option("--capo", metavar="FRET", help="Finger it for a capo at this fret.")
    ] = 0,
    up_the_neck: Annotated[
        bool, typer.Option("--up-the-neck", metavar=NO_VALUE, help="Play around the ninth fret.")
    ] = False,
    octaves: OctavesOption = None,
    count: CountOption = False,
    write: WriteOption = None,
    catalogue: CatalogueOption = None,
) -> None:
    """Show SONG as five-string tab.

    A song whose source names strings and frets is shown as written; any other is fingered, near
    the nut unless you choose otherwise. `--write` saves it as a file that `melodex add` can read.

    Examples
    --------
    melodex tab "Weir in Spate" --measures 1-8
    melodex tab Unlatched --tuning "double C" --write unlatched.musicxml
    """
    from melodex.finder.tab_of_song import tab_of_song
    from melodex.finder.written_files import TAB_FILE
    from melodex.index.store import open_catalogue
    from melodex.model.tuning import tuning_given

    chosen = None if measures is None else measure_range(measures)
    TAB_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = tab_of_song(
            opened,
            song,
            measures=chosen,
            tuning=tuning_given(tuning, capo),
            up_the_neck=up_the_neck,
            octaves=octaves,
        )
    show_or_write(found, chosen, write, count=count)
