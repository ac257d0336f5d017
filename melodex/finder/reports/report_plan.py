"""A lesson plan as handouts."""

from melodex.finder.shown_song import shown_song
from melodex.finder.teaching.plan_lessons import judge_lessons
from melodex.index.store import Catalogue
from melodex.model.results.lesson import LessonPlan
from melodex.parsing.given_path import FilePath
from melodex.report.plan_report import plan_report


def report_plan(catalogue: Catalogue, plan: FilePath, *, count: bool = False) -> str:
    """Return a plan's file as an HTML page: how good the plan is, then a sheet for each lesson.

    Parameters
    ----------
    plan : str or path
        A file that ``plan_lessons`` or `melodex lessons` wrote, edited or not.
    count : bool
        Whether a line below each tab counts the beats, "1 & 2 &".

    Returns
    -------
    str
        HTML that needs no other file, for ``write_report``.

    Raises
    ------
    PlanError
        If the plan cannot be read; it names the line.

    Examples
    --------
    ::

        melodex.write_report(melodex.report_plan(catalogue, plan_file), folder / "handouts.html")
    """
    return report_of_plan(catalogue, judge_lessons(catalogue, plan), count=count)


def report_of_plan(catalogue: Catalogue, judged: LessonPlan, *, count: bool = False) -> str:
    """Return a plan as an HTML page: how good the plan is, then a sheet for each lesson.

    Raises
    ------
    SongNotFoundError
        If a song of it is no longer in the catalogue.
    """
    songs = {
        lesson.song: shown_song(catalogue, lesson.song, count=count) for lesson in judged.lessons
    }
    return plan_report(judged, songs)
