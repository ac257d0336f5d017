"""The command `lessons`."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.completion import complete_song
from melodex.cli.empty_result import explain_if_empty
from melodex.cli.options import (
    NO_VALUE,
    CatalogueOption,
    CollectionOption,
    CsvOption,
    JsonOption,
    LevelOption,
    MetreOption,
    StudentOption,
    TagOption,
)
from melodex.cli.output import print_csv, print_json, refuse_two_forms
from melodex.cli.terminal import notice, print_table, say
from melodex.errors import QueryError
from melodex.model.catalogue import EVERY_SONG
from melodex.model.lesson import Lesson

if TYPE_CHECKING:
    from melodex.model.lesson import LessonPlan

_COLUMNS = {
    "lesson #": "lesson",
    "title": "title",
    "level #": "level",
    "new #": "new",
    "re-used #": "reused",
    "from the last #": "reused_from_last",
}
_NOTHING_TO_PLAN = "No song is left to plan: the student knows them all, or the plan lists none."
_LIMITS, _PLAN = "Limits that no plan may break", "Plans in files"


def lessons(
    count: Annotated[
        int | None,
        typer.Option(
            "--lessons",
            min=1,
            metavar="N",
            help="Choose the songs for N lessons; without it every song gets one.",
        ),
    ] = None,
    student: StudentOption = None,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.1, help="How long to search for a better plan.")
    ] = 30.0,
    level_step: Annotated[
        float | None,
        typer.Option(
            "--level-step",
            min=0,
            help="The level goes up by at most this from lesson to lesson.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    most_new: Annotated[
        int | None,
        typer.Option(
            "--most-new",
            min=0,
            metavar="MEASURES",
            help="A lesson has at most so many measures of new material.",
            rich_help_panel=_LIMITS,
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
            help="Read a plan and report how good it is as it stands.",
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
    collection: CollectionOption = None,
    tag: TagOption = None,
    metre: MetreOption = None,
    level: LevelOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
    as_csv: CsvOption = False,
) -> None:
    """Put songs into a sequence of lessons, each of which builds on those before.

    A song teaches the licks that it shares with others, and single measures. The aims, in this
    order: no limit is broken; the lesson with the most new material has as little as possible; as
    much as possible is re-used from the lesson just before; then from earlier ones. Each aim is
    reported as optimal, or with the best value that may still be possible.

    Examples
    --------
    melodex lessons --lessons 12 --level-step 1 --write plan.toml
    melodex lessons --plan plan.toml
    """
    from melodex.finder.filters import song_filter
    from melodex.finder.plan_lessons import judge_lessons, plan_lessons, plan_lessons_again
    from melodex.finder.song_labels import song_labels
    from melodex.finder.written_files import PLAN_FILE
    from melodex.index.store import open_catalogue
    from melodex.lessons.plan_file import write_plan
    from melodex.model.lesson import Limits

    refuse_two_forms(as_json=as_json, as_csv=as_csv)
    limits = Limits(
        lessons=count,
        level_step=level_step,
        most_new=most_new,
        must_come=tuple(must or ()),
        before=tuple(_song_pair(text) for text in before or ()),
        first=first,
        last=last,
    )
    which = song_filter(collections=collection, tags=tag, metres=metre, level=level)
    _refuse_limits_beside_a_plan(
        plan, again=again, limited=(limits, which) != (Limits(), EVERY_SONG)
    )
    PLAN_FILE.check(write)
    with open_catalogue(catalogue_path(catalogue)) as opened:
        labels = song_labels(opened)
        if plan is None:
            found = plan_lessons(opened, which, limits=limits, student=student, seconds=seconds)
        elif again:
            found = plan_lessons_again(opened, plan, student=student, seconds=seconds)
        else:
            found = judge_lessons(opened, plan, student=student)
        explain_if_empty(found.lessons, opened, which, _NOTHING_TO_PLAN)
    if write is not None:
        write_plan(write, found)
    _print_plan(found, labels, as_json=as_json, as_csv=as_csv)


def _song_pair(text: str) -> tuple[str, str]:
    one, colon, other = text.partition(":")
    if not (colon and one.strip() and other.strip()):
        raise QueryError(f"'{text}' names no two songs.", "write --before EARLIER:LATER.")
    return one, other


def _refuse_limits_beside_a_plan(plan: Path | None, *, again: bool, limited: bool) -> None:
    if plan is not None and limited:
        raise QueryError(
            "A plan's file says itself which songs and limits it has.",
            "write the limits into the file, or leave --plan out.",
        )
    if plan is None and again:
        raise QueryError("--again needs a plan.", "write --plan PLAN --again.")


def _print_plan(
    found: "LessonPlan", labels: Mapping[str, str], *, as_json: bool, as_csv: bool
) -> None:
    from melodex.report.lesson_words import plan_in_words, reason_in_words

    reasons = [
        "; ".join(reason_in_words(reason) for reason in lesson.because) for lesson in found.lessons
    ]
    rows: list[dict[str, Any]] = [
        asdict(lesson) | {"because": because}
        for lesson, because in zip(found.lessons, reasons, strict=True)
    ]
    if as_json:
        print_json(asdict(found))
    elif as_csv:
        print_csv([field.name for field in fields(Lesson)], rows)
    elif rows:
        print_table(_COLUMNS, [row | {"title": labels[row["song"]]} for row in rows])
        say("", *plan_in_words(found, labels))
    if found.stopped_by_clock:
        notice(
            "Time ran out before the plan was proven optimal: more --seconds may find a better one."
        )
