"""Note in a student's file what was taught on a day, and list what is due for review."""

import os
import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from melodex.errors import DescriptionError, PlanError, SongNotFoundError
from melodex.finder.teaching.catalogue_material import students_of
from melodex.index.kept_licks import kept_lick
from melodex.index.store import Catalogue
from melodex.lessons.plan_file import read_plan
from melodex.lessons.spacing import due_reviews
from melodex.lessons.taught_lines import TaughtLine
from melodex.model.results.known import DueReview
from melodex.parsing.file_content import decode_text, explain_os_error
from melodex.parsing.given_path import FilePath, path_of


def song_taught(
    catalogue: Catalogue, song: str, day: date, *, student: str = "", up_to: int | None = None
) -> TaughtLine:
    """Return the line for a song, by its title where that names it alone.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name.
    """
    song_id = catalogue.resolve(song)
    title = catalogue.entry(song_id).title
    try:
        named = title if catalogue.resolve(title) == song_id else song_id
    except SongNotFoundError:
        named = song_id
    return TaughtLine(day, student, named, up_to=up_to)


def lick_taught(catalogue: Catalogue, lick: str, day: date, *, student: str = "") -> TaughtLine:
    """Return the line for a lick that is kept.

    Raises
    ------
    LickNotFoundError
        If there is none of that name.
    """
    kept_lick(catalogue, lick)
    return TaughtLine(day, student, " ".join(lick.split()), is_lick=True)


def lesson_taught(
    catalogue: Catalogue, plan: FilePath, lesson: int, day: date | None, *, student: str = ""
) -> list[TaughtLine]:
    """Return the lines for a lesson of a plan's file; of a review, a line for each of its songs.

    Parameters
    ----------
    lesson : int
        From 1.
    day : date or None
        None for the lesson's own.

    Raises
    ------
    PlanError
        If the plan cannot be read, has no such lesson, or its lessons have no dates.
    """
    file = read_plan(path_of(plan), song_named=catalogue.resolve)
    limits = file.limits
    places = range(len(file.songs))
    songs = [file.songs[place] for place in places if limits.lesson_of(place) == lesson]
    every = limits.review_every
    if every is not None and lesson > 0 and lesson % every == 0:
        end = limits.songs_in(lesson)
        songs = list(file.songs[end - (every - 1) : end])
    if not songs:
        raise PlanError(
            f"The plan has no lesson {lesson}.",
            f"name one from 1 to {limits.lessons_for(len(places))}.",
        )
    day = day or limits.date_of(lesson)
    if day is None:
        raise PlanError("The plan's lessons have no dates.", "say when: --date 2027-01-11.")
    return [song_taught(catalogue, song, day, student=student) for song in songs]


def mark_taught(catalogue: Catalogue, student: FilePath, lines: Sequence[TaughtLine]) -> None:
    """Add lines to a student's file; what stands there stays as it is.

    The file is replaced in one step, so that it is whole at any time.

    Raises
    ------
    DescriptionError
        If the file is wrong, says the same already, or cannot be written.
    """
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


def _replace(path: Path, content: bytes, catalogue: Catalogue) -> None:
    """Write beside the file, read that as a student's file, and put it in place."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}-", suffix=".part")
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            part.chmod(path.stat().st_mode)
            _check(catalogue, part, path)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
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
            problem, "it is noted already, or correct that; nothing was written."
        ) from error


def reviews_due(catalogue: Catalogue, student: FilePath, *, on: date) -> list[DueReview]:
    """List the songs and licks that are due for review on a day, the longest overdue first.

    Raises
    ------
    DescriptionError
        If the student's file is wrong; it names the line.
    """
    return due_reviews(students_of(catalogue, student).lines, on)
