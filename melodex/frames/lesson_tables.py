"""Lesson plans as DataFrames."""

from dataclasses import asdict
from pathlib import Path

import pandas as pd

from melodex.finder.teaching import plan_lessons as planning
from melodex.finder.written_files import PLAN_FILE
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.lessons.plan_file import write_plan
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.lesson import NO_LIMITS, Lesson, LessonPlan, Limits
from melodex.parsing.given_path import FilePath, path_of


def plan_lessons(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    seconds: float = planning.SECONDS,
    write: FilePath | None = None,
) -> pd.DataFrame:
    """Put songs into a sequence of lessons, each of which builds on those before; a row each.

    Parameters
    ----------
    which : SongFilter
        The songs to order or, if ``limits.lessons`` is given, to choose from; 500 at most.
    limits : Limits
        Limits that no plan may break, such as ``melodex.Limits(level_step=1, most_new=16)``.
    student : str, path or None
        A CSV of what a student, or each student of a class, can play: columns ``song`` or ``lick``,
        and ``student`` for a class. Songs known already are left out.
    seconds : float
        The time limit of the search for the best order.
    write : str, path or None
        A file, ``.toml``, to write the plan to, for editing and for ``judge_lessons``.

    Returns
    -------
    DataFrame
        ``lesson``: from 1; ``song``: id; ``title``; ``level``: missing if none was given;
        ``suggested_level``: estimated in that case, and used by ``level_step``; ``share``: of
        the song's time, 0 to 1, what is known from earlier lessons, or before the first;
        ``share_from_last``: what the lesson just before teaches of it; ``reused``: known time, in
        quarter notes; ``new``: new material, in quarter notes; ``because``: a tuple of dictionaries
        with ``lick`` (None: no lick with a name), ``state`` ("new", "back" or "known"),
        ``measures``, ``from_lesson``, ``from_song`` and ``from_measures``; ``date``: None where the
        limits have no ``first_date``.

        Its ``attrs`` hold ``stages``, a list of dictionaries with ``aim``, ``value`` and ``bound``
        (the best that may be possible); ``reviews``, a list of dictionaries with ``lesson``,
        ``songs`` and ``date``; ``optimal``: whether every aim is proven to be reached;
        ``stopped_by_clock``: whether more seconds may find a better plan; ``broken``: limits that
        the plan breaks, in words; ``limits``: a dictionary of the fields of ``Limits``.

    Raises
    ------
    PlanError
        If limits conflict (it names those that do), there are more than 500 songs, or the plan
        cannot be written.
    SongNotFoundError
        If no song, or more than one, has a name that the limits give.
    DescriptionError
        If the student's file is wrong; it names the line.
    UnknownValueError
        If no song has a value of the filter.
    QueryError
        If the time is not above 0, or ``write`` does not end in ``.toml``.

    Examples
    --------
    ::

        waltzes = melodex.song_filter(metres="3/4")
        plan = melodex.plan_lessons(
            catalogue, waltzes, limits=melodex.Limits(lessons=3), seconds=2, write=plan_file
        )
        print(plan[["lesson", "title", "new"]], plan.attrs["optimal"])
    """
    file = _plan_file(write)
    plan = planning.plan_lessons(catalogue, which, limits=limits, student=student, seconds=seconds)
    if file is not None:
        write_plan(file, plan)
    return _table_of_plan(plan)


def judge_lessons(
    catalogue: Catalogue, plan: FilePath, *, student: FilePath | None = None
) -> pd.DataFrame:
    """Measure a plan's file as it stands: what is new and what comes back in each lesson.

    Parameters
    ----------
    plan : str or path
        A file that ``plan_lessons`` or `melodex lessons` wrote, edited or not.
    student : str, path or None
        A CSV of what a student, or each student of a class, can play.

    Returns
    -------
    DataFrame
        With the columns and ``attrs`` of ``plan_lessons``: ``lesson``, ``song``, ``title``,
        ``level``, ``suggested_level``, ``share``, ``share_from_last``, ``reused``, ``new``,
        ``because``, ``date``; ``stages``, ``reviews``, ``optimal``, ``stopped_by_clock``,
        ``broken``, ``limits``.

    Raises
    ------
    PlanError
        If the plan cannot be read; it names the line.
    DescriptionError
        If the student's file is wrong; it names the line.

    Examples
    --------
    ::

        print(melodex.judge_lessons(catalogue, plan_file).attrs["broken"])
    """
    return _table_of_plan(planning.judge_lessons(catalogue, plan, student=student))


def plan_lessons_again(
    catalogue: Catalogue,
    plan: FilePath,
    *,
    student: FilePath | None = None,
    seconds: float = planning.SECONDS,
    write: FilePath | None = None,
) -> pd.DataFrame:
    """Reorder the songs of a plan's file, except lessons with ``keep = true``.

    Parameters
    ----------
    plan : str or path
        A file that ``plan_lessons`` or `melodex lessons` wrote, edited or not.
    student : str, path or None
        A CSV of what a student, or each student of a class, can play.
    seconds : float
        The time allowed to look for a better plan.
    write : str, path or None
        A file, ``.toml``, to write the new plan to.

    Returns
    -------
    DataFrame
        With the columns and ``attrs`` of ``plan_lessons``: ``lesson``, ``song``, ``title``,
        ``level``, ``suggested_level``, ``share``, ``share_from_last``, ``reused``, ``new``,
        ``because``, ``date``; ``stages``, ``reviews``, ``optimal``, ``stopped_by_clock``,
        ``broken``, ``limits``.

    Raises
    ------
    PlanError
        If the plan cannot be read (it names the line), its limits conflict, or the new one cannot
        be written.
    DescriptionError
        If the student's file is wrong; it names the line.
    QueryError
        If the time is not above 0, or ``write`` does not end in ``.toml``.

    Examples
    --------
    ::

        print(melodex.plan_lessons_again(catalogue, plan_file, seconds=2)["title"])
    """
    file = _plan_file(write)
    again = planning.plan_lessons_again(catalogue, plan, student=student, seconds=seconds)
    if file is not None:
        write_plan(file, again)
    return _table_of_plan(again)


def _plan_file(write: FilePath | None) -> Path | None:
    file = None if write is None else path_of(write)
    PLAN_FILE.check(file)
    return file


def _table_of_plan(plan: LessonPlan) -> pd.DataFrame:
    frame = table_of(Lesson, plan.lessons)
    frame.attrs = {
        "stages": [asdict(stage) for stage in plan.stages],
        "reviews": [asdict(review) for review in plan.reviews],
        "optimal": plan.optimal,
        "stopped_by_clock": plan.stopped_by_clock,
        "broken": plan.broken,
        "limits": asdict(plan.limits),
    }
    return frame
