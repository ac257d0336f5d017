"""The command `arrange`."""

from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import NO_VALUE, CatalogueOption, SongArgument
from melodex.cli.printing.tab_output import (
    CountOption,
    TabMeasuresOption,
    WriteOption,
    show_or_write,
)
from melodex.parsing.measure_range import measure_range


def arrange(
    song: SongArgument,
    roll: Annotated[
        str | None,
        typer.Option(
            "--roll",
            metavar="NAME",
            help="forward, backward, forward-reverse, alternating-thumb or pinch; if not given, "
            "the one that suits each measure best.",
        ),
    ] = None,
    stage: Annotated[
        str,
        typer.Option(
            "--stage",
            metavar="NAME",
            help="How far to go: melody (alone), pinches (with pinches between its notes), roll "
            "(one steady roll) or full.",
        ),
    ] = "full",
    simple: Annotated[
        bool,
        typer.Option(
            "--simple",
            metavar=NO_VALUE,
            help="No hammer-ons, pull-offs and slides.",
        ),
    ] = False,
    up_the_neck: Annotated[
        bool,
        typer.Option(
            "--up-the-neck",
            metavar=NO_VALUE,
            help="From the seventh fret up, over the drone.",
        ),
    ] = False,
    measures: TabMeasuresOption = None,
    count: CountOption = False,
    write: WriteOption = None,
    catalogue: CatalogueOption = None,
) -> None:
    """Arrange SONG's melody in rolls, in open G.

    The melody notes stay on their beats; drone and chord tones fill the slots between them.

    Examples
    --------
    melodex arrange "Weir in Spate" --roll forward
    melodex arrange "Weir in Spate" --stage pinches
    """
    from melodex.finder.arrange_song import arrange_song
    from melodex.finder.written_files import TAB_FILE
    from melodex.index.store import open_catalogue

    chosen = None if measures is None else measure_range(measures)
    TAB_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        arranged = arrange_song(
            opened, song, roll=roll, stage=stage, simple=simple, up_the_neck=up_the_neck
        )
    show_or_write(arranged, chosen, write, count=count)
