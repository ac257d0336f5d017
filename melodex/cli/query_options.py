"""The query forms: the ways to give a lick, of which a command takes exactly one."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeAlias

import typer

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
        help="Note names, C4 = middle C; a value may follow a colon (w h q e s t, dots): "
        "'D4 E4:q G4:h.'.",
        rich_help_panel=_THE_LICK,
    ),
]
DegreesOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--degrees",
        metavar="TEXT",
        help="Scale degrees, , below and ' above the octave: '5, 6, 1 2 b3 5 1''.",
        rich_help_panel=_THE_LICK,
    ),
]
ModeOption: TypeAlias = Annotated[
    str,
    typer.Option(
        "--mode",
        help="The mode that degrees are counted in: major, minor, dorian, mixolydian, ...",
        rich_help_panel=_THE_LICK,
    ),
]
TabOption: TypeAlias = Annotated[
    str | None,
    typer.Option(
        "--tab",
        metavar="TEXT",
        help="Strings and frets, a value may follow: '4:0 3:0:q 2:1'.",
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
        rich_help_panel=_THE_LICK,
    ),
]


@dataclass(frozen=True, slots=True)
class QueryForms:
    """What the user gave of each form; None for a form not used."""

    abc: str | None
    notes: str | None
    degrees: str | None
    mode: str
    tab: str | None
    tuning: str
    from_song: str | None
    measures: str | None
    file: Path | None
    kept: str | None = None  # the name of a kept lick
    listed: str | None = None  # a number or name out of the last list of recurring licks

    def __post_init__(self) -> None:
        typed = (self.abc, self.notes, self.degrees, self.tab)
        elsewhere = (self.from_song, self.file, self.kept, self.listed)
        count = sum(form is not None for form in (*typed, *elsewhere))
        if count != 1:
            raise QueryError(
                "The lick is not given." if not count else "The lick is given in several ways.",
                "give exactly one of --abc, --notes, --degrees, --tab, --from, --file "
                "or a known lick.",
            )
        if (self.from_song is None) != (self.measures is None):
            raise QueryError(
                "--from and --measures belong together.", "write --from SONG --measures 5-8."
            )

    def lick(self, catalogue: "Catalogue") -> "Lick":
        """Read the lick from the form that was given."""
        from melodex.index.kept_licks import kept_lick, listed_lick
        from melodex.search.query import lick_from_song

        if self.kept is not None:
            return kept_lick(catalogue, self.kept)
        if self.listed is not None:
            return listed_lick(catalogue, self.listed)
        if self.from_song is not None:
            measures = measure_range(self.measures or "")
            return lick_from_song(catalogue, self.from_song, measures=measures)
        return self._written_lick()

    def _written_lick(self) -> "Lick":
        from melodex.parsing.lick_text import lick_from_degrees, lick_from_names, lick_from_tab
        from melodex.search.query import lick_from_abc, lick_from_file

        if self.abc is not None:
            return lick_from_abc(self.abc)
        if self.notes is not None:
            return lick_from_names(self.notes)
        if self.degrees is not None:
            return lick_from_degrees(self.degrees, self.mode)
        if self.tab is not None:
            return lick_from_tab(self.tab, self.tuning)
        return lick_from_file(self.file or Path())
