"""Tab for people, on screen or in a file, and the options of its commands."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from melodex.cli.options import NO_VALUE
from melodex.cli.terminal import notice, print_lines

if TYPE_CHECKING:
    from melodex.model.tablature import Tab

TabMeasuresOption: TypeAlias = Annotated[
    str | None,
    typer.Option("--measures", metavar="A-B", help="Only these measures; a pickup is 0."),
]
OctavesOption: TypeAlias = Annotated[
    int | None,
    typer.Option(
        "--octaves",
        metavar="N",
        help="Move SONG by N octaves from where it is written, -1 for one down; if not given, to "
        "the octave nearest the nut.",
        show_default=False,
    ),
]
CountOption: TypeAlias = Annotated[
    bool,
    typer.Option(
        "--count", metavar=NO_VALUE, help="Add a line below the tab that counts the beats: 1 & 2 &."
    ),
]
WriteOption: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--write", metavar="FILE", help="Write it to FILE: .tab or .txt, or MusicXML (.musicxml)."
    ),
]


def show_or_write(
    tab: "Tab", measures: tuple[int, int] | None, write: Path | None, *, count: bool = False
) -> None:
    """Print a tab, or write it to a file; remarks and cautions go to standard error."""
    from melodex.finder.tab_of_song import cautions_in
    from melodex.tab_files.tab_text import tab_text

    notice(*tab.remarks, *cautions_in(tab, measures))
    if write is not None:
        write_and_notice(tab, write, measures, count=count)
        return
    print_lines(*tab_text(tab, measures, count=count))


def write_and_notice(
    tab: "Tab", write: Path, measures: tuple[int, int] | None = None, *, count: bool = False
) -> None:
    """Write a tab to a file, and print what the file cannot hold, and its name."""
    from melodex.finder.tab_of_song import left_out_of_file, write_tab

    write_tab(tab, write, measures=measures, count=count)
    notice(*left_out_of_file(tab, write.suffix), f"Written: {write}")
