"""The query forms: the ways to give a lick, of which a command takes exactly one."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

from melodex.cli.completion import complete_kept_lick, complete_song
from melodex.cli.terminal import notice
from melodex.errors import QueryError
from melodex.parsing.measure_range import measure_range

if TYPE_CHECKING:
    from melodex.index.store import Catalogue
    from melodex.model.lick import Lick

_THE_LICK = "The lick (exactly one)"

AbcOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--abc",
        metavar="TEXT",
        help="ABC notation, header fields optional: 'DEG2 BAGE'.",
        rich_help_panel=_THE_LICK,
    ),
]
NotesOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--notes",
        metavar="TEXT",
        help="Note names, C4 is middle C, perhaps with a colon and a note value, w h q e s t for "
        "whole to thirty-second and a dot for half as long again: 'D4 E4:q G4:h.'.",
        rich_help_panel=_THE_LICK,
    ),
]
DegreesOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--degrees",
        metavar="TEXT",
        help="Scale degrees; a comma lowers one by an octave, ' raises it: '5, 6, 1 2 b3 5 1''.",
        rich_help_panel=_THE_LICK,
    ),
]
ModeOption: TypeAlias = Annotated[
    str,
    typer.Option(
        "--mode",
        metavar="MODE",
        help="The mode of --degrees: major, minor, dorian, mixolydian, ...",
        rich_help_panel=_THE_LICK,
    ),
]
TabOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--tab",
        metavar="TEXT",
        help="String:fret, a note value may follow: '4:0 3:0:q 2:1'. Before the fret, h is a "
        "hammer-on, p a pull-off, s a slide, c a choke; after it, T, I or M is the finger; + joins "
        "notes that sound together: '3:2 3:h3 5:0T+1:0M:q'.",
        rich_help_panel=_THE_LICK,
    ),
]
TuningOption: TypeAlias = Annotated[
    str,
    typer.Option(
        "--tuning",
        metavar="NAME",
        help="The tuning that --tab is for: 'open G', 'double C', gDGBD, ...",
        rich_help_panel=_THE_LICK,
    ),
]
FromOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--from",
        metavar="SONG",
        help="Cut it from this song of the catalogue.",
        autocompletion=complete_song,
        rich_help_panel=_THE_LICK,
    ),
]
MeasuresOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--measures",
        metavar="A-B",
        help="The measures to cut, as written; a pickup is 0.",
        rich_help_panel=_THE_LICK,
    ),
]
FileOption: TypeAlias = Annotated[
    Path | None,
    typer.Option(
        "--file",
        metavar="PATH",
        help="A music file that holds the lick alone.",
        rich_help_panel=_THE_LICK,
    ),
]
LickOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--lick",
        metavar="NAME",
        help="A lick that was kept: `melodex keep NAME`.",
        autocompletion=complete_kept_lick,
        rich_help_panel=_THE_LICK,
    ),
]
ShapeOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--shape",
        metavar="TEXT",
        help="How it moves: up, down, same, step up, leap down, ..., each with long or short after "
        "it if you know: 'step up, leap up, same, step down long'.",
        rich_help_panel=_THE_LICK,
    ),
]


@dataclass(frozen=True, slots=True)
class LickOptions:
    """The options that give a lick, as they were given; None for those that were not."""

    abc: AbcOption = None
    notes: NotesOption = None
    degrees: DegreesOption = None
    mode: ModeOption = "major"
    tab: TabOption = None
    tuning: TuningOption = "open G"
    from_song: FromOption = None
    measures: MeasuresOption = None
    file: FileOption = None
    lick_name: LickOption = None


NO_LICK = LickOptions()


@dataclass(frozen=True, slots=True)
class QueryForms:
    """What the user gave in each form; None for a form not used.

    Raises
    ------
    QueryError
        If not exactly one form is given, or a song without measures.
    """

    options: LickOptions
    listed: str | None = None  # a number or name in the last list of recurring licks
    shape: str | None = None  # how a melody moves, which is not a lick; for `find` alone

    def __post_init__(self) -> None:
        if (self.options.from_song is None) != (self.options.measures is None):
            raise QueryError(
                "--from and --measures belong together.", "write --from SONG --measures 5-8."
            )
        count = len(self._given())
        if count != 1:
            raise QueryError(
                "The lick is not given." if not count else "The lick is given in several ways.",
                "give exactly one of --abc, --notes, --degrees, --tab, --from, --file "
                "or --lick; find also takes --shape, and keep a number of the last list.",
            )

    def lick(self, catalogue: "Catalogue") -> "Lick":
        """Return the lick; notices say which song it was cut from, and how it was read.

        Raises
        ------
        MelodexError
            As `given_lick` does.
        """
        from melodex.finder.given_lick import LickForm, given_lick

        options = self.options
        ((form, text),) = self._given().items()
        lick = given_lick(
            catalogue,
            LickForm(form),
            text,
            mode=options.mode,
            tuning=options.tuning,
            measures=None if options.measures is None else measure_range(options.measures),
        )
        if options.from_song is not None:
            notice(f"The lick is cut from {lick.came_from}.")
        notice(*lick.remarks)
        return lick

    def _given(self) -> dict[str, str]:
        """Return the texts that were given, by the names of `LickForm` and "shape"."""
        options = self.options
        texts = {
            "abc": options.abc,
            "notes": options.notes,
            "degrees": options.degrees,
            "tab": options.tab,
            "kept": options.lick_name,
            "listed": self.listed,
            "song": options.from_song,
            "file": None if options.file is None else str(options.file),
            "shape": self.shape,
        }
        return {form: text for form, text in texts.items() if text is not None}
