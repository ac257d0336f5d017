"""Arguments and options that several commands share."""

from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from melodex.cli.completion import (
    complete_collection,
    complete_set,
    complete_song,
    complete_tag,
    complete_technique,
)

NO_VALUE = ""  # the metavar of an option that is given or not

CatalogueOption: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--catalogue",
        envvar="MELODEX_CATALOGUE",
        metavar="FILE",
        help="The catalogue's file; without it, one in your data folder.",
        show_default=False,
    ),
]
JsonOption: TypeAlias = Annotated[
    bool, typer.Option("--json", metavar=NO_VALUE, help="Print JSON for a program.")
]
CsvOption: TypeAlias = Annotated[
    bool, typer.Option("--csv", metavar=NO_VALUE, help="Print CSV for a spreadsheet.")
]
SongArgument: TypeAlias = Annotated[
    str,
    typer.Argument(
        metavar="SONG",
        help="A song's title, a part that only this title has, or its id.",
        autocompletion=complete_song,
    ),
]
_STUDENT = typer.Option(
    "--student",
    metavar="FILE or NAME",
    help="What a student, or a class, can play: a list of titles, a CSV with columns song, lick, "
    "student; or the name of a saved student.",
)
StudentOption: TypeAlias = Annotated[Path, _STUDENT]
OptionalStudentOption: TypeAlias = Annotated[Path | None, _STUDENT]

_WHICH_SONGS = "Which songs"
CollectionOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--collection",
        metavar="NAME",
        help="Songs of this collection; repeatable.",
        autocompletion=complete_collection,
        rich_help_panel=_WHICH_SONGS,
    ),
]
TagOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--tag",
        metavar="WORD",
        help="Songs with this tag; repeatable.",
        autocompletion=complete_tag,
        rich_help_panel=_WHICH_SONGS,
    ),
]
MetreOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--metre",
        metavar="N/M",
        help="Songs in this metre, 4/4 or none; repeatable.",
        rich_help_panel=_WHICH_SONGS,
    ),
]
LevelOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--level",
        metavar="N or A-B",
        help="Songs of this level, or from level A to B.",
        rich_help_panel=_WHICH_SONGS,
    ),
]
UsesOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--uses",
        metavar="TECHNIQUE",
        help="Songs whose tab uses this: slide, forward-reverse, up the neck, ...; repeatable.",
        autocompletion=complete_technique,
        rich_help_panel=_WHICH_SONGS,
    ),
]
EstimatedOption: TypeAlias = Annotated[
    bool,
    typer.Option(
        "--estimated",
        metavar=NO_VALUE,
        help="With --level: where a song was given no level, use the one suggested for it.",
        rich_help_panel=_WHICH_SONGS,
    ),
]
SetOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME",
        help="Songs of this set, saved in the browser; repeatable.",
        autocompletion=complete_set,
        rich_help_panel=_WHICH_SONGS,
    ),
]
WhereOption: TypeAlias = Annotated[
    list[str] | None,
    typer.Option(
        "--where",
        metavar="COLUMN=VALUE",
        help="Songs with this value in a described column, such as term=autumn; repeatable.",
        rich_help_panel=_WHICH_SONGS,
    ),
]
