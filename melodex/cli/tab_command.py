"""The command `tab`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, SongArgument
from melodex.cli.output import notice, say
from melodex.cli.query_options import measure_range

if TYPE_CHECKING:
    from melodex.model.tablature import Tab

TabMeasuresOption: TypeAlias = Annotated[
    str | None,
    typer.Option("--measures", metavar="A-B", help="Only these measures; a pickup is 0."),
]
WriteOption: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--write", metavar="FILE", help="Write it to FILE: .tab or .txt, or MusicXML (.musicxml)."
    ),
]
OctavesOption: TypeAlias = Annotated[
    int, typer.Option("--octaves", help="Move the song by so many octaves, -1 for one down.")
]


def tab(
    song: SongArgument,
    measures: TabMeasuresOption = None,
    tuning: Annotated[
        str | None,
        typer.Option(
            "--tuning", metavar="NAME", help="'open G', 'double C', gDGBD, ...; finger it anew."
        ),
    ] = None,
    capo: Annotated[int, typer.Option("--capo", help="A capo at this fret.")] = 0,
    up_the_neck: Annotated[
        bool, typer.Option("--up-the-neck", help="Play around the ninth fret.")
    ] = False,
    octaves: OctavesOption = 0,
    write: WriteOption = None,
    catalogue: CatalogueOption = None,
) -> None:
    """Show SONG as five-string tab.

    A song whose source names strings and frets is shown as written; any other is fingered, near
    the nut unless told otherwise. `--write` makes a file of it, which `melodex add` reads.
    """
    from melodex.finder.tab_of_song import tab_of_song
    from melodex.index.store import open_catalogue

    chosen = None if measures is None else measure_range(measures)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = tab_of_song(
            opened, song, tuning=tuning, capo=capo, up_the_neck=up_the_neck, octaves=octaves
        )
    show_or_write(found, chosen, write)


def show_or_write(tab: "Tab", measures: tuple[int, int] | None, write: Path | None) -> None:
    """Print a tab, or write it to a file; remarks go to standard error."""
    from melodex.finder.tab_of_song import write_tab
    from melodex.report.tab_text import tab_text

    for remark in tab.remarks:
        notice(remark)
    if write is not None:
        write_tab(tab, write, measures=measures)
        notice(f"Written: {write}")
        return
    say("\n".join(tab_text(tab, measures)))
