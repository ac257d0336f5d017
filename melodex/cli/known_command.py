"""The command `known`."""

from dataclasses import asdict
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, CsvOption, JsonOption, SongArgument
from melodex.cli.output import print_csv, print_json, refuse_two_forms
from melodex.cli.terminal import print_table, say

if TYPE_CHECKING:
    from melodex.model.known import KnownMaterial


def known(
    song: SongArgument,
    student: Annotated[
        Path,
        typer.Option(
            "--student",
            metavar="CSV",
            help="What a student, or a class, can play: columns song, lick, student.",
        ),
    ],
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """Show how much of SONG a student can already play, measure by measure, and from where.

    The student's file is a CSV that you write, a line for each song or lick: a column `song` (ids
    or titles) or `lick` (names). With a column `student` it describes a class; what counts as known
    is what every student knows.

    Examples
    --------
    melodex known Unlatched --student ann.csv
    """
    from melodex.finder.known_material import known_material
    from melodex.finder.song_labels import song_labels
    from melodex.index.store import open_catalogue

    refuse_two_forms(as_json=as_json, as_csv=as_csv)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = known_material(opened, song, student)
        labels = song_labels(opened)
    if as_json:
        print_json(asdict(found))
    else:
        _print_measures(found, labels, as_csv=as_csv)


def _print_measures(found: "KnownMaterial", labels: dict[str, str], *, as_csv: bool) -> None:
    from melodex.report.lesson_words import known_from_in_words, share_in_words
    from melodex.report.words import measures_listed

    names = {} if as_csv else labels
    rows: list[dict[str, Any]] = [
        {"measure": measure.measure, "known_from": known_from_in_words(measure, names)}
        for measure in found.measures
    ]
    if as_csv:
        print_csv(["measure", "known_from"], rows)
        return
    runs = [
        {"measures": measures_listed([row["measure"] for row in run]), "known_from": origin}
        for origin, run in groupby(rows, key=lambda row: row["known_from"])
    ]
    print_table({"measures #": "measures", "known from": "known_from"}, runs)
    say("", *share_in_words(found))
