"""The commands `taught` and `due`."""

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.completion import complete_kept_lick, complete_song
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import CatalogueOption, StudentOption
from melodex.cli.output import FOR_PEOPLE, OutputOptions, print_records
from melodex.cli.terminal import notice, print_lines, print_table
from melodex.errors import QueryError

if TYPE_CHECKING:
    from datetime import date

    from melodex.model.results.known import DueReview


def taught(
    student: StudentOption,
    song: Annotated[
        str | None,
        typer.Argument(
            metavar="SONG", help="The song that was taught.", autocompletion=complete_song
        ),
    ] = None,
    day: Annotated[
        str | None,
        typer.Option(
            "--date", metavar="DATE", help="When, such as 2027-01-11; today if not given."
        ),
    ] = None,
    up_to: Annotated[
        int | None,
        typer.Option("--up-to", min=0, metavar="MEASURE", help="The last measure that was taught."),
    ] = None,
    lick: Annotated[
        str | None,
        typer.Option(
            "--lick",
            metavar="NAME",
            help="A kept lick that was taught.",
            autocompletion=complete_kept_lick,
        ),
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Option("--plan", metavar="PLAN", help="The plan's file, with --lesson."),
    ] = None,
    lesson: Annotated[
        int | None,
        typer.Option(
            "--lesson",
            min=1,
            metavar="N",
            help="The lesson of --plan that was taught, on its own date unless --date is given.",
        ),
    ] = None,
    who: Annotated[
        str, typer.Option("--to", metavar="NAME", help="Which student of a class.")
    ] = "",
    catalogue: CatalogueOption = None,
) -> None:
    """Record in a student's file what was taught, and when.

    A line is added, such as "taught 2027-01-11: Weir in Spate"; the rest of the file stays as it
    is. From then on it counts as known, and `melodex due` lists it when it is time for a review.

    Examples
    --------
    melodex taught "Weir in Spate" --student ann.csv --date 2027-01-11
    melodex taught --plan plan.toml --lesson 3 --student ann.csv
    """
    from melodex.finder.teaching.taught_lessons import (
        mark_lesson_taught,
        mark_lick_taught,
        mark_song_taught,
    )
    from melodex.index.store import open_catalogue

    given = [song is not None, lick is not None, plan is not None or lesson is not None]
    if sum(given) != 1 or (plan is None) != (lesson is None):
        raise QueryError(
            "Exactly one thing that was taught is needed.",
            "name a song, or a lick with --lick, or a lesson with --plan and --lesson.",
        )
    if up_to is not None and song is None:
        raise QueryError("--up-to is for a song.", "name the song, or leave it out.")
    on = _day(day)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        if plan is not None and lesson is not None:
            lines = mark_lesson_taught(opened, plan, lesson, student, day=on, to=who)
        elif song is not None:
            lines = [mark_song_taught(opened, song, student, day=on, up_to=up_to, to=who)]
        else:
            lines = [mark_lick_taught(opened, lick or "", student, day=on, to=who)]
    print_lines(*(f"Noted: {line}" for line in lines))


@grouped_options
def due(
    student: StudentOption,
    day: Annotated[
        str | None,
        typer.Option("--date", metavar="DATE", help="Due on this day; today if not given."),
    ] = None,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """List what a student should review, the longest overdue first.

    What was taught is due for review 5 days later, after the second time 25 days later, then four
    months, then two years. Songs and licks without a date in the file are never due.

    Examples
    --------
    melodex due --student ann.csv
    """
    from melodex.finder.collection.song_labels import song_labels
    from melodex.finder.teaching.taught_lessons import reviews_due
    from melodex.index.store import open_catalogue
    from melodex.model.results.known import DueReview

    with open_catalogue(catalogue_path(catalogue)) as opened:
        found = reviews_due(opened, student, on=_day(day))
        labels = song_labels(opened)
    print_records(DueReview, found, lambda: _print_due(found, labels), output)


def _print_due(found: "list[DueReview]", labels: dict[str, str]) -> None:
    if not found:
        notice("Nothing is due for review.")
        return
    rows = [
        asdict(each)
        | {"what": f'the lick "{each.lick}"' if each.song is None else labels[each.song]}
        for each in found
    ]
    columns = {"what": "what", "taught last": "taught", "times #": "times", "due since": "due"}
    if any(each.student for each in found):
        columns = {"student": "student"} | columns
    print_table(columns, rows)


def _day(given: str | None) -> "date | None":
    from melodex.model.weekly_dates import as_date

    return None if given is None else as_date("--date", given)
