"""Lesson plans and what students can play, as DataFrames."""

from dataclasses import asdict
from pathlib import Path

import pandas as pd

from melodex.finder.teaching import known_material as knowing
from melodex.finder.teaching import next_songs as coming
from melodex.finder.teaching import plan_lessons as planning
from melodex.finder.written_files import PLAN_FILE
from melodex.frames.table import table_of
from melodex.index.store import Catalogue
from melodex.lessons.plan_file import write_plan
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.known import KnownMeasure, NextSong
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
        The songs to order or, where ``limits.lessons`` says how many, to choose from; 500 at most.
    limits : Limits
        What no plan may break: ``melodex.Limits(level_step=1, most_new=16)``, for one.
    student : str, path or None
        A CSV of what a student, or each student of a class, can play: columns ``song`` or ``lick``,
        and ``student`` for a class. Songs known already are left out.
    seconds : float
        The time allowed to look for a better plan.
    write : str, path or None
        A file, ``.toml``, to write the plan to, for editing and for ``judge_lessons``.

    Returns
    -------
    DataFrame
        ``lesson``: from 1; ``song``: id; ``title``; ``level``: missing if none was given, and
        ``suggested_level`` is estimated then, and kept to by ``level_step``; ``share``: of
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
        the plan breaks, in words.

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
        ``broken``.

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
    """Order the songs of a plan's file anew, except the lessons that say ``keep = true``.

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
        ``broken``.

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
    }
    return frame


def known_material(catalogue: Catalogue, song: str, student: FilePath) -> pd.DataFrame:
    """Show how much of a song a student, or a whole class, can already play; a row a measure.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    student : str or path
        A list of the songs that a student can play, one a line; or a CSV with columns ``song`` or
        ``lick``, ``up to measure`` for songs known in part, and ``student`` for a class.

    Returns
    -------
    DataFrame
        ``measure``: as written; ``beats``: quarter notes that its notes take up; ``known_beats``:
        those of them that are known; ``known``: a tuple of (from, to), where in the measure they
        are, in quarter notes from the bar line; ``known_from``: a tuple of dictionaries with
        ``song`` (None: the lick is known by name), ``lick`` (None: the passage is no lick with a
        name) and ``measures`` (empty: the song itself was learned); empty where the measure is new.

        Its ``attrs`` hold ``song`` (id), ``title``, ``share`` (known part of its time, 0 to 1) and
        ``students``, a list of dictionaries with ``student``, ``share`` and ``new``, the first and
        last measures of which something is to learn.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.
    DescriptionError
        If the student's file is wrong; it names the line.

    Examples
    --------
    ::

        known = melodex.known_material(catalogue, "Cinder Path", student_file)
        print(known.attrs["share"], known[known["known_beats"] == 0]["measure"])
    """
    known = knowing.known_material(catalogue, song, student)
    frame = table_of(KnownMeasure, known.measures)
    frame.attrs = {
        "song": known.song,
        "title": known.title,
        "share": known.share,
        "students": [asdict(each) for each in known.students],
    }
    return frame


def next_songs(
    catalogue: Catalogue,
    student: FilePath,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
) -> pd.DataFrame:
    """List the songs that a student is closest to, the best known first.

    Parameters
    ----------
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``.
    limit : int or None
        How many songs at most, 1 or more; None for all.
    which : SongFilter
        The songs to choose from.

    Returns
    -------
    DataFrame
        ``song``: id; ``title``; ``share``: known part of its time, 0 to 1; ``new``: quarter notes
        to learn; ``step``: a dictionary with ``measures``, the fewest in a row with which half of
        the song is known, or all, and ``share``, what is known then (None: it has no notes);
        ``new_licks``: a tuple of names; ``opens_the_way_to``: a tuple of ids of songs that would be
        better known afterwards, the most first.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.

    Examples
    --------
    ::

        print(melodex.next_songs(catalogue, student_file, limit=5)[["title", "share", "new"]])
    """
    return table_of(NextSong, coming.next_songs(catalogue, student, limit=limit, which=which))
