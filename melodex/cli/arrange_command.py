"""The command `arrange`."""

from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import NO_VALUE, CatalogueOption, SongArgument
from melodex.cli.tab_output import CountOption, TabMeasuresOption, WriteOption, show_or_write
from melodex.parsing.measure_range import measure_range


def arrange(
    song: SongArgument,
    roll: Annotated[
        str | None,
        typer.Option(
            "--roll",
            metavar="NAME",
            help="forward, backward, forward-reverse, alternating-thumb or pinch; without it the "
            "one that suits each measure.",
        ),
    ] = None,
    simple: Annotated[
        bool,
        typer.Option(
            "--simple",
            metavar=NO_VALUE,
            help="No hammer-ons and slides; the right hand stays the same.",
        ),
    ] = False,
    measures: TabMeasuresOption = None,
    count: CountOption = False,
    write: WriteOption = None,
    catalogue: CatalogueOption = None,
) -> None:
    """Arrange SONG's melody in rolls for a beginner, in open G.

    The melody notes stay on their beats; the drone and the inside strings fill between them.

    Examples
    --------
    melodex arrange "Weir in Spate" --roll forward
    """
    from melodex.finder.arrange_song import arrange_song
    from melodex.finder.written_files import TAB_FILE
    from melodex.index.store import open_catalogue

    chosen = None if measures is None else measure_range(measures)
    TAB_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        arranged = arrange_song(opened, song, roll=roll, simple=simple)
    show_or_write(arranged, chosen, write, count=count)
