"""The command `describe`."""

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, JsonOption
from melodex.cli.output import print_json
from melodex.cli.terminal import notice, print_lines
from melodex.model.description import DescribeReport


def describe(
    table: Annotated[
        Path, typer.Argument(metavar="CSV", help="The table of levels, tags and other facts.")
    ],
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add levels, tags and other facts to songs, from a CSV file.

    A column `song` (ids) or `title` says which song a line describes. `level` is a number, `tags`
    are separated by semicolons, and any other column (term, remark, ...) is kept as it is. An empty
    cell deletes the fact. If a line is wrong, nothing changes. Lines that match no song are listed
    with the nearest titles; the exit code is 1 if no line matches one.

    Examples
    --------
    melodex describe levels.csv
    """
    from melodex.finder.collection.describe_songs import describe_songs
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
    print_lines(f"{report.described} {'song' if report.described == 1 else 'songs'} described.")
    notice(*(f"  line {line.line}, {line.song}: {line.reason}" for line in report.unmatched))
