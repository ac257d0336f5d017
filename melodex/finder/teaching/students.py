"""What students can play: from a file, or from a table that is saved in the catalogue."""

import tempfile
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from melodex.errors import DescriptionError
from melodex.index.song_names import song_named
from melodex.index.store import Catalogue
from melodex.index.work_table import work_named
from melodex.lessons.student_file import StudentFile, read_student_file
from melodex.model.saved_work import SavedWork, WorkKind
from melodex.parsing.given_path import FilePath, path_of


def students_of(catalogue: Catalogue, student: FilePath) -> StudentFile:
    """Read what a student, or each of a class, can play.

    Parameters
    ----------
    student : str or path
        A file; else the name of a student that is saved in the catalogue. Songs in it may be named
        by id, title or a part of only one title.

    Raises
    ------
    DescriptionError
        If the file or the saved table is wrong; it names the line.
    """
    saved = saved_student(catalogue, student)
    if saved is not None:
        return students_in(catalogue, saved.content, f"The saved student '{saved.name}'")
    titles = catalogue.titles()
    return read_student_file(path_of(student), song_named=lambda name: song_named(name, titles))


def saved_student(catalogue: Catalogue, student: FilePath) -> SavedWork | None:
    """Return the saved student of a name; None if it is the path of a file, or nothing."""
    path = path_of(student)
    return None if path.exists() else work_named(catalogue, WorkKind.STUDENT, str(student))


def students_in(catalogue: Catalogue, text: str, called: str) -> StudentFile:
    """Read a list or table as ``students_of`` does; errors call it ``called``.

    Raises
    ------
    DescriptionError
        If a line is wrong.
    """
    with text_as_file(text, called) as path:
        return replace(students_of(catalogue, path), path=Path(called))


@contextmanager
def text_as_file(text: str, called: str) -> Generator[Path]:
    """Write a text to a temporary file; errors call it ``called`` instead of by its path."""
    with tempfile.TemporaryDirectory(prefix="melodex-") as folder:
        path = Path(folder) / "songs.csv"
        path.write_text(text, encoding="utf-8")
        try:
            yield path
        except DescriptionError as error:
            problem = error.problem.replace(str(path), called)
            raise DescriptionError(problem, "correct that line and send it again.") from error
