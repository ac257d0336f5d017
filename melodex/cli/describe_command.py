"""The command `describe`."""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, JsonOption
from melodex.cli.output import notice, print_json, say
from melodex.model.description import DescribeReport


def describe(
    table: Annotated[Path, typer.Argument(metavar="CSV", help="The table of facts.")],
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Join levels, tags and other facts to songs, from a CSV file.

    A column `song` (ids) or `title` says which song a line is about. `level` is a number, `tags`
    are separated by semicolons, any other column (term, remark, ...) is kept as it is; an empty
    cell takes a fact back. Nothing is changed if a line is wrong. Lines that name no song are
    listed with the nearest titles; the exit code is 1 if no line names one.
    """
    from melodex.finder.describe_songs import describe_songs
    from melodex.index.store import open_catalogue

    with open_catalogue(catalogue_path(catalogue)) as opened:
        report = describe_songs(opened, table)
    if as_json:
        print_json(asdict(report))
    else:
        _print_report(report)
    if report.unmatched and not report.described:
        raise typer.Exit(1)


def _print_report(report: DescribeReport) -> None:
    say(f"{report.described} {'song' if report.described == 1 else 'songs'} described.")
    for line in report.unmatched:
        notice(f"  line {line.line}, {line.song}: {line.reason}")
