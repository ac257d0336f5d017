"""The command `lessons`."""

from pathlib import Path
from typing import Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.completion import complete_song
from melodex.cli.option_groups import grouped_options
from melodex.cli.options import (
    NO_VALUE,
    CatalogueOption,
    OptionalStudentOption,
)
from melodex.cli.output import FOR_PEOPLE, OutputOptions
from melodex.cli.printing.empty_result import explain_if_empty
from melodex.cli.printing.plan_output import print_plan
from melodex.cli.progress import planning
from melodex.cli.song_choice import EVERY_SONG_CHOSEN, SongChoice
from melodex.errors import QueryError
from melodex.model.catalogue import EVERY_SONG

_NOTHING_TO_PLAN = "No song is left to plan: the student knows them all, or the plan lists none."
_LIMITS, _CALENDAR = "Limits that no plan may break", "Dates of weekly lessons"
_PLAN = "Plans in files"


@grouped_options
def lessons(
    count: Annotated[
        int | None,
        typer.Option(
            "--lessons",
            min=1,
            metavar="N",
            help="Choose the songs for N lessons, one version of a tune; without it every song "
            "gets one.",
        ),
    ] = None,
    student: OptionalStudentOption = None,
    seconds: Annotated[
        float,
        typer.Option(
            "--seconds",
            min=0.1,
            metavar="SECONDS",
            help="Time limit of the search for the best order.",
        ),
    ] = 30.0,
    level_step: Annotated[
        float | None,
        typer.Option(
            "--level-step",
            min=0,
            metavar="LEVELS",
            help="From one lesson to the next the level rises by at most this; the first lesson "
            "starts from the highest level that the student knows, else from the lowest there is.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    new_at_most: Annotated[
        float | None,
        typer.Option(
            "--new-at-most",
            min=0,
            metavar="QUARTERS",
            help="At most this many new quarter notes in a lesson; 16 are four measures of 4/4.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    review_every: Annotated[
        int | None,
        typer.Option(
            "--review-every",
            min=2,
            metavar="N",
            help="Every N-th lesson reviews the songs since the last review.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    in_turn: Annotated[
        list[str] | None,
        typer.Option(
            "--in-turn",
            metavar="TAG",
            help="Alternate: with --in-turn waltz --in-turn slides, lessons take turns between "
            "songs described with each (a tag or any other fact); repeatable.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    first_date: Annotated[
        str | None,
        typer.Option(
            "--first-date",
            metavar="DATE",
            help="The day of the first lesson, such as 2027-01-11; the others follow weekly.",
            rich_help_panel=_CALENDAR,
        ),
    ] = None,
    skip: Annotated[
        list[str] | None,
        typer.Option(
            "--skip",
            metavar="DATE",
            help="No lesson in the week of this day; repeatable.",
            rich_help_panel=_CALENDAR,
        ),
    ] = None,
    must: Annotated[
        list[str] | None,
        typer.Option(
            "--must",
            metavar="SONG",
            help="This song must be chosen; repeatable.",
            autocompletion=complete_song,
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    must_not: Annotated[
        list[str] | None,
        typer.Option(
            "--not",
            metavar="SONG",
            help="This song must not be chosen; repeatable.",
            autocompletion=complete_song,
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    before: Annotated[
        list[str] | None,
        typer.Option(
            "--before",
            metavar="SONG:SONG",
            help="The first song comes before the second where both are chosen; repeatable.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    first: Annotated[
        str | None,
        typer.Option(
            "--first",
            metavar="SONG",
            help="The first lesson's song.",
            autocompletion=complete_song,
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    last: Annotated[
        str | None,
        typer.Option(
            "--last",
            metavar="SONG",
            help="The last lesson's song.",
            autocompletion=complete_song,
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(
            "--write",
            metavar="PLAN",
            help="Write the plan to this file, for editing.",
            rich_help_panel=_PLAN,
        ),
    ] = None,
    plan: Annotated[
        Path | None,
        typer.Option(
            "--plan",
            metavar="PLAN",
            help="Read a plan and report how good it is, without changing it.",
            rich_help_panel=_PLAN,
        ),
    ] = None,
    again: Annotated[
        bool,
        typer.Option(
            "--again",
            metavar=NO_VALUE,
            help="Reorder the songs of --plan, except lessons that say keep = true.",
            rich_help_panel=_PLAN,
        ),
    ] = False,
    choice: SongChoice = EVERY_SONG_CHOSEN,
    catalogue: CatalogueOption = None,
    output: OutputOptions = FOR_PEOPLE,
) -> None:
    """Put songs into a sequence of lessons, each of which builds on those before.

    A song teaches every passage of other songs that is like one of its own, in any key. The aims,
    in this order: as much as possible of each lesson's song is known already; as much as possible
    of it was in the lesson just before; the largest amount of new material in a lesson is as small
    as possible. Each aim is reported with the best value that any plan could reach.

    Examples
    --------
    melodex lessons --lessons 12 --level-step 1 --write plan.toml
    melodex lessons --lessons 12 --review-every 4 --new-at-most 16
    melodex lessons --lessons 12 --first-date 2027-01-11 --skip 2027-02-15
    melodex lessons --plan plan.toml
    """
    from melodex.finder.collection.song_labels import song_labels
    from melodex.finder.teaching.plan_lessons import judge_lessons, plan_lessons, plan_lessons_again
    from melodex.finder.written_files import PLAN_FILE
    from melodex.index.store import open_catalogue
    from melodex.lessons.plan_file import write_plan
    from melodex.model.results.lesson import Limits
    from melodex.model.weekly_dates import as_date

    limits = Limits(
        lessons=count,
        level_step=level_step,
        most_new=new_at_most,
        must_come=tuple(must or ()),
        must_not_come=tuple(must_not or ()),
        before=tuple(_song_pair(text) for text in before or ()),
        first=first,
        last=last,
        review_every=review_every,
        in_turn=tuple(in_turn or ()),
        first_date=None if first_date is None else as_date("--first-date", first_date),
        skip=tuple(as_date("--skip", day) for day in skip or ()),
    )
    which = choice.filter()
    _refuse_limits_beside_a_plan(
        plan, again=again, limited=(limits, which) != (Limits(), EVERY_SONG)
    )
    PLAN_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        labels = song_labels(opened)
        with planning(seconds) as progress:
            if plan is None:
                found = plan_lessons(
                    opened,
                    which,
                    limits=limits,
                    student=student,
                    seconds=seconds,
                    progress=progress,
                )
            elif again:
                found = plan_lessons_again(
                    opened, plan, student=student, seconds=seconds, progress=progress
                )
            else:
                found = judge_lessons(opened, plan, student=student, progress=progress)
        explain_if_empty(found.lessons, opened, which, _NOTHING_TO_PLAN)
    if write is not None:
        write_plan(write, found)
    print_plan(found, labels, output)


def _song_pair(text: str) -> tuple[str, str]:
    one, colon, other = text.partition(":")
    if not (colon and one.strip() and other.strip()):
        raise QueryError(f"'{text}' names no two songs.", "write --before EARLIER:LATER.")
    return one, other


def _refuse_limits_beside_a_plan(plan: Path | None, *, again: bool, limited: bool) -> None:
    if plan is not None and limited:
        raise QueryError(
            "A plan's file lists its own songs and limits.",
            "write the limits into the file, or leave --plan out.",
        )
    if plan is None and again:
        raise QueryError("--again needs a plan.", "write --plan PLAN --again.")
