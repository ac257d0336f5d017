"""The command `lessons`."""

from dataclasses import asdict, fields
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from melodex.cli.catalogue_place import catalogue_path
from melodex.cli.empty_result import explain_if_empty
from melodex.cli.options import (
    CatalogueOption,
    CollectionOption,
    CsvOption,
    JsonOption,
    LevelOption,
    MetreOption,
    StudentOption,
    TagOption,
)
from melodex.cli.output import (
    notice,
    print_csv,
    print_json,
    print_table,
    refuse_two_forms,
    say,
)
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
    "song": "song",
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
        float, typer.Option("--seconds", min=0.1, help="How long to look for a better plan.")
    ] = 30.0,
    level_step: Annotated[
        float | None,
        typer.Option(
            "--level-step",
            min=0,
            help="The level rises by at most this from lesson to lesson.",
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
            help="This song must be chosen; again for more.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    before: Annotated[
        list[str] | None,
        typer.Option(
            "--before",
            metavar="SONG:SONG",
            help="The one comes before the other where both come; again for more.",
            rich_help_panel=_LIMITS,
        ),
    ] = None,
    first: Annotated[
        str | None,
        typer.Option(
            "--first", metavar="SONG", help="The first lesson's song.", rich_help_panel=_LIMITS
        ),
    ] = None,
    last: Annotated[
        str | None,
        typer.Option(
            "--last", metavar="SONG", help="The last lesson's song.", rich_help_panel=_LIMITS
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
            help="Read a plan and tell what it is worth as it stands.",
            rich_help_panel=_PLAN,
        ),
    ] = None,
    again: Annotated[
        bool,
        typer.Option(
            "--again",
            help="Order the songs of --plan anew, but for lessons that say keep = true.",
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

    A song teaches the licks that it shares with others, and single measures.
    The aims, in this order: no limit is broken; the lesson with the most new
    material has as little as possible; most is re-used from the lesson just
    before; most is re-used from earlier ones. Each is proved optimal, or the
    best that might still be possible is told.
    """
    from melodex.finder.filters import song_filter
    from melodex.finder.plan_lessons import judge_lessons, plan_lessons, plan_lessons_again
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
        if plan is None:
            found = plan_lessons(opened, which, limits=limits, student=student, seconds=seconds)
        elif again:
            found = plan_lessons_again(opened, plan, student=student, seconds=seconds)
        else:
            found = judge_lessons(opened, plan, student=student)
        explain_if_empty(found.lessons, opened, which, _NOTHING_TO_PLAN)
    if write is not None:
        write_plan(write, found)
    _print_plan(found, as_json=as_json, as_csv=as_csv)


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


def _print_plan(found: "LessonPlan", *, as_json: bool, as_csv: bool) -> None:
    from melodex.report.lesson_words import plan_in_words, reason_in_words

    reasons = [
        "; ".join(reason_in_words(reason) for reason in lesson.because) for lesson in found.lessons
    ]
    rows = [
        asdict(lesson) | {"because": because}
        for lesson, because in zip(found.lessons, reasons, strict=True)
    ]
    if as_json:
        print_json(asdict(found))
    elif as_csv:
        print_csv([field.name for field in fields(Lesson)], rows)
    elif rows:
        print_table(_COLUMNS, rows)
        say()
        say("\n".join(plan_in_words(found)))
    if found.stopped_by_clock:
        notice("The time was over before the work was: more --seconds may find a better plan.")
