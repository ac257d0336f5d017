"""A lesson plan as handouts."""

from pathlib import Path

from melodex.finder.plan_lessons import judge_lessons
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.model.lesson import LessonPlan
from melodex.report.plan_report import plan_report


def report_plan(catalogue: Catalogue, plan: Path) -> str:
    """Write a plan's file as HTML: what it is worth, then a sheet a lesson.

    Raises
    ------
    PlanError
        If the file is wrong; it names the line.
    """
    return report_of_plan(catalogue, judge_lessons(catalogue, plan))


def report_of_plan(catalogue: Catalogue, judged: LessonPlan) -> str:
    """Write a plan as HTML: what it is worth, then a sheet a lesson.

    Raises
    ------
    SongNotFoundError
        If a song of it is no longer in the catalogue.
    """
    songs = {lesson.song: shown_song(catalogue, lesson.song) for lesson in judged.lessons}
    return plan_report(judged, songs)
