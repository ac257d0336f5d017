"""Record in a student's file what was taught, and list what is due for review."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from melodex.errors import DescriptionError, PlanError, SongNotFoundError
from melodex.finder.teaching.students import saved_student, students_in, students_of
from melodex.index.kept_licks import kept_lick
from melodex.index.store import Catalogue
from melodex.index.work_table import change_work
from melodex.lessons.plan_file import PlanFile, read_plan
from melodex.lessons.spacing import due_reviews
from melodex.lessons.taught_lines import TaughtLine
from melodex.model.results.known import DueReview
from melodex.model.saved_work import SavedWork
from melodex.model.weekly_dates import as_date
from melodex.parsing.file_content import decode_text, explain_os_error
from melodex.parsing.given_path import FilePath, path_of
from melodex.whole_files import written_whole


def mark_song_taught(
    catalogue: Catalogue,
    song: str,
    student: FilePath,
    *,
    day: date | str | None = None,
    up_to: int | None = None,
    to: str = "",
) -> str:
    """Record in a student's file that a song was taught, and return the line that was added.

    From then on it is known, and ``reviews_due`` lists it when it is due. The rest of the file
    stays as it is; the file is replaced in one step, so that it is whole at any time.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``.
    day : date, str or None
        When, as a date or a text such as "2027-01-11"; None for today.
    up_to : int or None
        The last measure that was taught; None for the whole song.
    to : str
        Which student of a class.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name.
    DescriptionError
        If the file is wrong, says the same already, or cannot be written.
    QueryError
        If the day is not a date.

    Examples
    --------
    ::

        melodex.mark_song_taught(catalogue, "Weir in Spate", student_file, day="2027-01-11")
    """
    lines = [song_line(catalogue, song, _day_of(day), to, up_to)]
    return _add_lines(catalogue, student, lines)[0]


def mark_lick_taught(
    catalogue: Catalogue,
    lick: str,
    student: FilePath,
    *,
    day: date | str | None = None,
    to: str = "",
) -> str:
    """Record in a student's file that a kept lick was taught, and return the line that was added.

    Parameters
    ----------
    lick : str
        The name under which it is kept.
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``.
    day : date, str or None
        When, as a date or a text such as "2027-01-11"; None for today.
    to : str
        Which student of a class.

    Raises
    ------
    LickNotFoundError
        If no lick is kept under that name.
    DescriptionError
        If the file is wrong, says the same already, or cannot be written.
    QueryError
        If the day is not a date.

    Examples
    --------
    ::

        lick = melodex.lick_from_song(catalogue, "Cinder Path", measures=(1, 2))
        melodex.keep_lick(catalogue, "first fill", lick)
        melodex.mark_lick_taught(catalogue, "first fill", student_file, day="2027-01-11")
    """
    kept_lick(catalogue, lick)
    line = TaughtLine(_day_of(day), to, " ".join(lick.split()), is_lick=True)
    return _add_lines(catalogue, student, [line])[0]


def mark_lesson_taught(
    catalogue: Catalogue,
    plan: FilePath,
    lesson: int,
    student: FilePath,
    *,
    day: date | str | None = None,
    to: str = "",
) -> list[str]:
    """Record in a student's file that a lesson of a plan was taught, and return the lines added.

    A review lesson adds a line for each song that it reviews.

    Parameters
    ----------
    plan : str or path
        A file that ``plan_lessons`` or `melodex lessons` wrote, edited or not.
    lesson : int
        Its number in the plan, from 1.
    student : str or path
        A list of the songs that a student can play, or a CSV as for ``known_material``.
    day : date, str or None
        When, as a date or a text such as "2027-01-11"; None for the lesson's own date.
    to : str
        Which student of a class.

    Raises
    ------
    PlanError
        If the plan cannot be read, has no such lesson, or its lessons have no dates.
    DescriptionError
        If the student's file is wrong, says the same already, or cannot be written.
    QueryError
        If the day is not a date.

    Examples
    --------
    ::

        melodex.mark_lesson_taught(catalogue, plan_file, 1, student_file, day="2027-01-11")
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    songs = songs_of_lesson(file, lesson)
    taught_on = file.limits.date_of(lesson) if day is None else _day_of(day)
    if taught_on is None:
        raise PlanError("The plan's lessons have no dates.", "add the date: --date 2027-01-11.")
    lines = [song_line(catalogue, song, taught_on, to) for song in songs]
    return _add_lines(catalogue, student, lines)


def songs_of_lesson(plan: PlanFile, lesson: int) -> list[str]:
    """Return the songs of a lesson, by id: its own, or those that a review goes over.

    Raises
    ------
    PlanError
        If the plan has no such lesson.
    """
    limits = plan.limits
    places = range(len(plan.songs))
    songs = [plan.songs[place] for place in places if limits.lesson_of(place) == lesson]
    every = limits.review_every
    if every is not None and lesson > 0 and lesson % every == 0:
        end = limits.songs_in(lesson)
        songs = list(plan.songs[end - (every - 1) : end])
    if not songs:
        raise PlanError(
            f"The plan has no lesson {lesson}.",
            f"name one from 1 to {limits.lessons_for(len(places))}.",
        )
    return songs


def reviews_due(
    catalogue: Catalogue, student: FilePath, *, on: date | str | None = None
) -> list[DueReview]:
    """List the songs and licks that are due for review on a day, the longest overdue first.

    Parameters
    ----------
    on : date, str or None
        The day; None for today.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    QueryError
        If the day is not a date.
    """
    return due_reviews(students_of(catalogue, student).lines, _day_of(on))


def _day_of(given: date | str | None) -> date:
    return date.today() if given is None else as_date("day", given)


def song_line(
    catalogue: Catalogue, song: str, day: date, to: str, up_to: int | None = None
) -> TaughtLine:
    """Return the line for a song, by its title if that is unambiguous."""
    song_id = catalogue.resolve(song)
    title = catalogue.entry(song_id).title
    try:
        named = title if catalogue.resolve(title) == song_id else song_id
    except SongNotFoundError:
        named = song_id
    return TaughtLine(day, to, named, up_to=up_to)


def add_to_table(catalogue: Catalogue, saved: SavedWork, lines: Sequence[str], called: str) -> None:
    """Add lines to a saved student's table as one change; errors call the table by a name.

    Raises
    ------
    DescriptionError
        If the table is wrong, or a line contradicts another.
    """
    text = "\n".join([saved.content.rstrip("\n"), *lines, ""])
    students_in(catalogue, text, called)
    change_work(catalogue, saved.work, text)


def _add_lines(catalogue: Catalogue, student: FilePath, lines: Sequence[TaughtLine]) -> list[str]:
    """Add lines to a student's file or saved table, and return them; the rest stays as it is."""
    saved = saved_student(catalogue, student)
    if saved is not None:
        texts = [str(line) for line in lines]
        add_to_table(catalogue, saved, texts, f"The saved student '{saved.name}'")
        return texts
    path = path_of(student)
    students_of(catalogue, path)
    content = path.read_bytes()
    ends = b"\r\n" if b"\r\n" in content else b"\n"
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        content = decode_text(content).encode("utf-8")
    between = b"" if not content or content.endswith(b"\n") else ends
    added = b"".join(str(line).encode("utf-8") + ends for line in lines)
    _replace(path.resolve(), content + between + added, catalogue)
    return [str(line) for line in lines]


def _replace(path: Path, content: bytes, catalogue: Catalogue) -> None:
    """Write a new file beside the old one, check that it can be read, and put it in place."""
    try:
        with written_whole(path) as part:
            part.write_bytes(content)
            _check(catalogue, part, path)
    except OSError as error:
        raise DescriptionError(
            f"Cannot write {path}: {explain_os_error(error)}.", "choose another file or folder."
        ) from error


def _check(catalogue: Catalogue, part: Path, path: Path) -> None:
    try:
        students_of(catalogue, part)
    except DescriptionError as error:
        problem = error.problem.replace(str(part), str(path))
        raise DescriptionError(
            problem, "correct that, unless it was recorded already; nothing was written."
        ) from error
