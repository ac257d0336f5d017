"""The command `add`."""

import sys
from collections.abc import Callable, Generator
from contextlib import contextmanager
from dataclasses import asdict
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.options import CatalogueOption, JsonOption
from melodex.cli.output import print_json
from melodex.cli.terminal import counted, notice, print_lines
from melodex.errors import QueryError
from melodex.model.results.addition import AddProgress, AddReport

MOST_LISTED = 20  # failures, and remarks, printed for people; --json has all


def add(
    paths: Annotated[
        list[str] | None,  # an empty one is no path, where a Path would mean this folder
        typer.Argument(
            metavar="PATH", help="Music files, or folders of them; repeatable.", show_default=False
        ),
    ] = None,
    bundled: Annotated[
        list[str] | None,
        typer.Option(
            "--bundled",
            metavar="NAME",
            help="A collection that music21 carries: oneills1850, ryansMammoth, airdsAirs, "
            "essenFolksong, ...; repeatable.",
        ),
    ] = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Read songs into the catalogue: ABC, MusicXML, MIDI, kern and text tab.

    Files that have not changed are not read again. A tune that cannot be read is listed with its
    reason; the others are added all the same.

    Each bundled collection has terms of its own, and some allow no commercial use. They are in the
    installed music21, in corpus/license.txt and, for example, corpus/essenFolksong/license.txt;
    --bundled prints where.

    Examples
    --------
    melodex add tunes/ waltzes.abc
    melodex add --bundled oneills1850
    """
    from melodex.finder.collection.add_songs import add_songs, bundled_terms
    from melodex.index.store import open_catalogue

    if not paths and not bundled:
        raise QueryError(
            "There is nothing to add.", "name files or folders, or try --bundled oneills1850."
        )
    with open_catalogue(catalogue_path(catalogue), create=True) as opened, _progress() as progress:
        report = add_songs(opened, paths or (), bundled=bundled or (), progress=progress)
    if as_json:
        print_json(asdict(report))
    else:
        _print_report(report)
    if bundled:
        terms = " and ".join(map(str, bundled_terms(bundled)))
        notice(f"Bundled collections have terms of their own, some non-commercial: see {terms}.")
    if not report.added + report.updated + report.unchanged:
        _explain_nothing_added(report)
        raise typer.Exit(1)


@contextmanager
def _progress() -> Generator[Callable[[AddProgress], None]]:
    """Show a progress bar on standard error, if that is a terminal."""
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    with Progress(
        TextColumn("Reading"),
        BarColumn(),
        TextColumn("{task.completed} of {task.total} files"),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
        disable=not sys.stderr.isatty(),  # it would leave an empty line
    ) as bar:
        task = bar.add_task("reading", total=None)
        yield lambda now: bar.update(task, completed=now.files_done, total=now.files_total)


def _explain_nothing_added(report: AddReport) -> None:
    from melodex.finder.collection.add_songs import READABLE

    if not report.failed:
        notice(f"No song was found. These files are read: {', '.join(READABLE)}.")


def _print_report(report: AddReport) -> None:
    print_lines(
        f"{counted(report.added, 'song')} added, {report.updated} updated, "
        f"{report.unchanged} unchanged"
        + (f", {report.removed} no longer in their files" if report.removed else "")
        + (f"; {counted(report.skipped, 'file')} of other kinds skipped" if report.skipped else "")
        + (f"; {len(report.failed)} could not be read." if report.failed else ".")
    )
    troubles = [
        _place(failure.file, failure.tune, failure.line) + failure.reason
        for failure in report.failed
    ]
    remarks = [f"{remark.song} in {remark.file}: {remark.text}" for remark in report.remarks]
    for lines in (troubles, remarks):
        notice(*(f"  {line}" for line in lines[:MOST_LISTED]))
        if len(lines) > MOST_LISTED:
            notice(f"  ... and {len(lines) - MOST_LISTED} more; --json lists them all.")


def _place(file: str, tune: str, line: int | None) -> str:
    in_tune = f", tune {tune}" if tune else ""
    at_line = f", line {line}" if line is not None else ""
    return f"{file}{in_tune}{at_line}: "
