"""Put songs into a sequence of lessons, and judge a sequence that somebody has edited."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from melodex.errors import PlanError
from melodex.finder.chosen_songs import chosen_songs
from melodex.finder.material import knowledge_of_each, students_of, taught_material
from melodex.index.store import Catalogue
from melodex.lessons.plan import judge_plan, plan_songs
from melodex.lessons.plan_file import read_plan
from melodex.lessons.taught import NOTHING, Knowledge, Repertoire, known_to_all, repertoire_of
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lesson import NO_LIMITS, LessonPlan, Limits
from melodex.parsing.given_path import FilePath, path_of

SECONDS = 30.0  # 60 songs come within some 5 % of their bound in that time
MOST_SONGS = 500  # above, a plan would take hours, and nobody teaches so many


def plan_lessons(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    seconds: float = SECONDS,
) -> LessonPlan:
    """Order songs, or choose some and order them, so that each lesson builds on those before.

    Parameters
    ----------
    which : SongFilter
        The songs to plan; those that the student knows already are left out, unless a limit names
        them.
    limits : Limits
        What no plan may break; songs by id or an unambiguous part of a title.
    student : str, path or None
        A CSV of the songs and licks that a student, or each student of a class, can play.
    seconds : float
        The time allowed; the plan is the same each time unless the clock had to stop it.

    Raises
    ------
    PlanError
        If limits conflict (it names those that do), or there are more than 500 songs.
    UnknownValueError
        If no song has a value of the filter.
    SongNotFoundError
        If no song, or several, answer to a name.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    limits = with_song_ids(catalogue, limits)
    songs = chosen_songs(catalogue, which)
    if len(songs) > MOST_SONGS:
        raise PlanError(
            f"A plan of {len(songs)} songs would take hours.",
            f"choose {MOST_SONGS} or fewer by collection, tag, metre or level.",
        )
    repertoire, known = _taught_and_known(catalogue, songs, student)
    named = limits.asked_for
    pool = [
        number
        for number in _numbers_of(repertoire, songs)
        if number not in known.songs or repertoire.material.songs[number] in named
    ]
    return plan_songs(repertoire, pool, limits, known=known, seconds=seconds)


def judge_lessons(
    catalogue: Catalogue, plan: FilePath, *, student: FilePath | None = None
) -> LessonPlan:
    """Measure a plan's file as it stands, and list the limits that it breaks.

    Raises
    ------
    PlanError
        If the file is wrong; it names the line.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    return judge_order(catalogue, file.songs, limits=file.limits, student=student)


def judge_order(
    catalogue: Catalogue,
    songs: Sequence[str],
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
) -> LessonPlan:
    """Tell what a sequence of songs is worth, a lesson each, and which limits it breaks.

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
    repertoire, known = _taught_and_known(catalogue, [*songs, *limits.asked_for], student)
    return judge_plan(repertoire, _numbers_of(repertoire, songs), limits, known)


def plan_lessons_again(
    catalogue: Catalogue,
    plan: FilePath,
    *,
    student: FilePath | None = None,
    seconds: float = SECONDS,
) -> LessonPlan:
    """Order the songs of a plan's file anew, but for the lessons that it keeps.

    Raises
    ------
    PlanError
        If the file is wrong (it names the line), or its limits conflict.
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    return order_again(catalogue, file.songs, limits=file.limits, student=student, seconds=seconds)


def order_again(
    catalogue: Catalogue,
    songs: Sequence[str],
    *,
    limits: Limits = NO_LIMITS,
    student: FilePath | None = None,
    seconds: float = SECONDS,
) -> LessonPlan:
    """Order songs anew within limits, but for the lessons that these keep.

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
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    among = sorted({*songs, *limits.asked_for})
    repertoire, known = _taught_and_known(catalogue, among, student)
    pool = _numbers_of(repertoire, among)
    return plan_songs(repertoire, pool, limits, known=known, seconds=seconds)


def with_song_ids(catalogue: Catalogue, limits: Limits) -> Limits:
    """Name the songs of limits by their ids.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to a name.
    """
    named = catalogue.resolve
    return replace(
        limits,
        must_come=tuple(named(song) for song in limits.must_come),
        before=tuple((named(one), named(other)) for one, other in limits.before),
        first=None if limits.first is None else named(limits.first),
        last=None if limits.last is None else named(limits.last),
        kept=tuple((lesson, named(song)) for lesson, song in limits.kept),
    )


def _numbers_of(repertoire: Repertoire, songs: Iterable[str]) -> list[int]:
    numbers = {song: number for number, song in enumerate(repertoire.material.songs)}
    return [numbers[song] for song in songs]


def _taught_and_known(
    catalogue: Catalogue, songs: Sequence[str], student: FilePath | None
) -> tuple[Repertoire, Knowledge]:
    if student is None:
        return repertoire_of(taught_material(catalogue, songs)), NOTHING
    file = students_of(catalogue, student)
    repertoire = repertoire_of(taught_material(catalogue, [*songs, *file.songs]))
    students = knowledge_of_each(file, repertoire)
    return repertoire, known_to_all(knowledge for _, knowledge in students)
