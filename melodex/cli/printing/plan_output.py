"""Print a lesson plan."""

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any

from melodex.cli.output import OutputOptions, print_csv, print_json
from melodex.cli.terminal import notice, print_lines, print_table
from melodex.model.results.lesson import Lesson, LessonPlan

_COLUMNS = {
    "lesson #": "lesson",
    "title": "title",
    "level #": "level",
    "known #": "known",
    "from the last #": "from_last",
    "new quarter notes #": "new",
}
_DATED = {"lesson #": "lesson", "date": "date"} | _COLUMNS


def print_plan(found: LessonPlan, labels: Mapping[str, str], output: OutputOptions) -> None:
    """Print a plan as JSON, as CSV, or else for people.

    Parameters
    ----------
    labels : mapping
        What to call songs, by id.
    """
    from melodex.report.estimate_words import level_in_words
    from melodex.report.lesson_words import percent_in_words, plan_in_words, reason_in_words

    reasons = [
        "; ".join(reason_in_words(reason) for reason in lesson.because) for lesson in found.lessons
    ]
    rows: list[dict[str, Any]] = [
        asdict(lesson) | {"because": because}
        for lesson, because in zip(found.lessons, reasons, strict=True)
    ]
    if output.as_json:
        print_json(asdict(found))
    elif output.as_csv:
        print_csv([field.name for field in fields(Lesson)], rows)
    elif rows:
        table = [
            row
            | {
                "title": labels[row["song"]],
                "level": level_in_words(row["level"], row["suggested_level"]) or None,
                "known": percent_in_words(row["share"]),
                "from_last": percent_in_words(row["share_from_last"]),
            }
            for row in rows
        ]
        print_table(_COLUMNS if found.limits.first_date is None else _DATED, table)
        print_lines("", *plan_in_words(found, labels))
    if found.stopped_by_clock:
        notice(
            "Time ran out before the plan was proven optimal: more --seconds may find a better one."
        )
