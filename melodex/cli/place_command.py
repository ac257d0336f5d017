"""The command `place`."""

from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, CsvOption, JsonOption, SongArgument
from melodex.cli.output import notice, print_records, say
from melodex.cli.query_options import (
    AbcOption,
    DegreesOption,
    FileOption,
    FromOption,
    LickOption,
    MeasuresOption,
    ModeOption,
    NotesOption,
    QueryForms,
    TabOption,
    TuningOption,
)
from melodex.cli.tab_output import WriteOption, write_and_say

if TYPE_CHECKING:
    from melodex.model.placement import Placement


def place(
    song: SongArgument,
    abc: AbcOption = None,
    notes: NotesOption = None,
    degrees: DegreesOption = None,
    mode: ModeOption = "major",
    tab: TabOption = None,
    tuning: TuningOption = "open G",
    from_song: FromOption = None,
    measures: MeasuresOption = None,
    file: FileOption = None,
    lick_name: LickOption = None,
    limit: Annotated[int, typer.Option("--limit", min=1, help="How many places at most.")] = 3,
    octaves: Annotated[
        int, typer.Option("--octaves", help="Move SONG by so many octaves, -1 for one down.")
    ] = 0,
    write: WriteOption = None,
    number: Annotated[
        int, typer.Option("--number", min=1, help="The place that --write puts the lick in.")
    ] = 1,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """Find where a lick fits into SONG, and write SONG with the lick in it.

    A place counts by the chords there, by what the lick replaces (a rest or held note that it
    fills, or a melody that it can stand for), and by how it joins its neighbours. The lick is
    transposed, fingered and shown beside what it replaces. Example:

    `melodex place "Old Mill" --lick "first fill" --write mill.musicxml`
    """
    from melodex.finder.place_lick import place_lick
    from melodex.index.store import open_catalogue
    from melodex.model.placement import Placement

    forms = QueryForms(
        abc, notes, degrees, mode, tab, tuning, from_song, measures, file, kept=lick_name
    )
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = place_lick(opened, song, forms.lick(opened), octaves=octaves)
    for remark in found.remarks:
        notice(remark)
    placements = [place.placement for place in found.places[:limit]]
    print_records(
        Placement, placements, lambda: print_places(placements), as_json=as_json, as_csv=as_csv
    )
    if write is not None:
        write_and_say(found.place(number).tab, write)


def print_places(placements: "list[Placement]") -> None:
    """Print places for people, the best first."""
    for number, placement in enumerate(placements, start=1):
        first, last = placement.first_measure, placement.last_measure
        measures = f"Measures {first}-{last}" if last > first else f"Measure {first}"
        say(f"{number}. {measures}, fit {placement.fit:.2f}, {placement.kind}")
        for reason in placement.because:
            say(f"   - {reason}")
        say(f"\nAs it is:\n{placement.replaces}\n\nWith the lick:\n{placement.tab}\n")
    if not placements:
        notice("There is no other place for it.")
