"""Put songs into a sequence of lessons, and evaluate a sequence that somebody has edited."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from numbers import Real
from typing import cast

from melodex.errors import PlanError, QueryError, shown
from melodex.finder.collection.chosen_songs import chosen_songs
from melodex.finder.collection.estimates_of_songs import Estimates
from melodex.finder.teaching.catalogue_material import MaterialGatherer, no_progress
from melodex.finder.teaching.song_passages import SongProgress
from melodex.finder.teaching.students import students_of
from melodex.index.store import Catalogue
from melodex.lessons.knowledge import Known, knowledge_of, known_to_all, nothing_known
from melodex.lessons.plan import judge_plan, plan_songs
from melodex.lessons.plan_file import read_plan
from melodex.lessons.student_file import skills_in
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.lesson import NO_LIMITS, LessonPlan, Limits
from melodex.model.results.material import Material
from melodex.parsing.given_path import FilePath, path_of

SECONDS = 30.0  # in which twelve lessons out of 150 songs come within 10 % of their bound
LONGEST_SECONDS = 86_400  # a day
MOST_SONGS = 500  # with more, a plan would take hours


def plan_lessons(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    seconds: float = SECONDS,
    progress: SongProgress = no_progress,
) -> LessonPlan:
    """Order songs, or choose some and order them, so that each lesson builds on those before.

    Parameters
    ----------
    which : SongFilter
        The songs to plan; those that the student knows already are left out, unless a limit names
        them.
    limits : Limits
        Limits that no plan may break; songs by id or an unambiguous part of a title.
    student : str, path or None
        A CSV of the songs and licks that a student, or each student of a class, can play.
    seconds : float
        The time limit of the search for the best order, after the songs are compared; the plan is
        the same each time unless the clock stopped the search.
    progress : callable
        Called after each song that is compared with the others.

    Raises
    ------
    PlanError
        If limits conflict (it names them), or there are more than 500 songs.
    UnknownValueError
        If no song has a value of the filter.
    QueryError
        If the time is not above 0.
    SongNotFoundError
        If no song, or more than one, has a name that the limits give.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    _check_seconds(seconds)
    limits = with_song_ids(catalogue, limits)
    songs = chosen_songs(catalogue, which)
    if len(songs) > MOST_SONGS:
        raise PlanError(
            f"A plan of {len(songs)} songs would take hours.",
            f"choose {MOST_SONGS} or fewer by collection, tag, metre or level.",
        )
    chosen = limits.lessons is not None
    material, known = _taught_and_known(
        catalogue, songs, student, versions=chosen, progress=progress
    )
    material = _described(catalogue, material, limits)
    return plan_songs(material, _numbers_of(material, songs), limits, known=known, seconds=seconds)


def judge_lessons(
    catalogue: Catalogue,
    plan: FilePath,
    *,
    student: FilePath | None = None,
    progress: SongProgress = no_progress,
) -> LessonPlan:
    """Evaluate a plan's file in its present order, and list the limits that it breaks.

    Raises
    ------
    PlanError
        If the file is wrong; it names the line.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    return judge_order(
        catalogue, file.songs, limits=file.limits, student=student, progress=progress
    )


def judge_order(
    catalogue: Catalogue,
    songs: Sequence[str],
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    progress: SongProgress = no_progress,
) -> LessonPlan:
    """Evaluate a sequence of songs, one a lesson: how good it is, and which limits it breaks.

    Parameters
    ----------
    songs : sequence of str
        Ids, each once, in the order of the lessons.
    limits : Limits
        Songs by their ids.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    among = [*songs, *limits.required_songs]
    material, known = _taught_and_known(catalogue, among, student, progress=progress)
    material = _described(catalogue, material, limits)
    return judge_plan(material, _numbers_of(material, songs), limits, known)


def plan_lessons_again(
    catalogue: Catalogue,
    plan: FilePath,
    *,
    student: FilePath | None = None,
    seconds: float = SECONDS,
    progress: SongProgress = no_progress,
) -> LessonPlan:
    """Reorder the songs of a plan's file, except the lessons marked to be kept.

    Raises
    ------
    PlanError
        If the file is wrong (it names the line), or its limits conflict.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    return order_again(
        catalogue,
        file.songs,
        limits=file.limits,
        student=student,
        seconds=seconds,
        progress=progress,
    )


def order_again(
    catalogue: Catalogue,
    songs: Sequence[str],
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    seconds: float = SECONDS,
    progress: SongProgress = no_progress,
) -> LessonPlan:
    """Reorder songs within limits, except the lessons that the limits keep.

    Parameters
    ----------
    songs : sequence of str
        Ids.
    limits : Limits
        Songs by their ids.

    Raises
    ------
    PlanError
        If the limits conflict.
    QueryError
        If the time is not above 0.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    _check_seconds(seconds)
    among = sorted({*songs, *limits.required_songs})
    material, known = _taught_and_known(catalogue, among, student, progress=progress)
    material = _described(catalogue, material, limits)
    pool = _numbers_of(material, among)
    return plan_songs(material, pool, limits, known=known, seconds=seconds)


def with_song_ids(catalogue: Catalogue, limits: Limits) -> Limits:
    """Return limits with their songs named by id.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has a name that the limits give.
    """
    named = catalogue.resolve
    return replace(
        limits,
        must_come=tuple(named(song) for song in limits.must_come),
        must_not_come=tuple(named(song) for song in limits.must_not_come),
        before=tuple((named(one), named(other)) for one, other in limits.before),
        first=None if limits.first is None else named(limits.first),
        last=None if limits.last is None else named(limits.last),
        kept=tuple((lesson, named(song)) for lesson, song in limits.kept),
    )


def _check_seconds(seconds: object) -> None:
    is_number = not isinstance(seconds, bool) and isinstance(seconds, Real)
    if not (is_number and 0 < cast("float", seconds) <= LONGEST_SECONDS):
        raise QueryError(
            f"A time limit of {shown(seconds)} seconds is not possible.",
            f"give a number above 0, at most {LONGEST_SECONDS:,}.",
        )


def _numbers_of(material: Material, songs: Iterable[str]) -> list[int]:
    numbers = {song: number for number, song in enumerate(material.songs)}
    return [numbers[song] for song in songs]


def _described(catalogue: Catalogue, material: Material, limits: Limits) -> Material:
    """Add the levels suggested for songs, and their described facts if a limit needs them."""
    material = Estimates(catalogue).with_suggested_levels(material)
    if not limits.in_turn:
        return material
    facts = (catalogue.facts(song).values() for song in material.songs)
    described = (
        frozenset(str(value).casefold() for values in of_song for value in values)
        for of_song in facts
    )
    return replace(material, facts=tuple(described))


def _taught_and_known(
    catalogue: Catalogue,
    songs: Sequence[str],
    student: FilePath | None,
    *,
    versions: bool = False,
    progress: SongProgress,
) -> tuple[Material, Known]:
    """Gather what songs teach each other, and what a student, or a whole class, knows of them."""
    gatherer = MaterialGatherer(catalogue)
    if student is None:
        material = gatherer.gather(songs, versions=versions, progress=progress)
        return material, nothing_known(material)
    file = students_of(catalogue, student)
    material = gatherer.gather([*songs, *file.songs], versions=versions, progress=progress)
    skills = skills_in(file, material.licks)
    return material, known_to_all([knowledge_of(skill, material) for skill in skills], material)
