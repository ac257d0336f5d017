"""A student's table: saved, pasted or sent; a file again for those who read it."""

from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from melodex.errors import QueryError
from melodex.finder.teaching.students import text_as_file
from melodex.index.work_table import saved_work, saved_works
from melodex.model.saved_work import SavedWork, WorkKind
from melodex.web.form_fields import Fields

if TYPE_CHECKING:
    from melodex.index.store import Catalogue


class StudentTable(NamedTuple):
    """What a student, or each of a class, can play, as the text of a file; "" for none."""

    text: str
    name: str = "the student"


def student_table(catalogue: "Catalogue", fields: Fields) -> StudentTable:
    """Read a student's table: a saved one, pasted, or sent as a file.

    Raises
    ------
    QueryError
        If it is given in two ways, or is no text.
    WorkNotFoundError
        If the saved one has been deleted.
    """
    pasted, files = fields.text("student"), fields.files("student_file")
    chosen = fields.line("saved_student")
    if bool(pasted) + bool(files) + bool(chosen) > 1:
        raise QueryError(
            "The student's table is given twice.",
            "choose a saved student, paste the songs, or choose a file.",
        )
    if chosen:
        saved = saved_work(catalogue, chosen)
        return StudentTable(saved.content, saved.name)
    if not files:
        return StudentTable(pasted)
    try:
        return StudentTable(files[0].file.read().decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise QueryError(
            "The student's table is no text.", "save it as CSV in UTF-8 and choose it again."
        ) from None


def saved_students(catalogue: "Catalogue") -> list[SavedWork]:
    """List the students that are saved, by name."""
    return [work for work in saved_works(catalogue) if work.kind is WorkKind.STUDENT]


@contextmanager
def table_file(table: str) -> Generator[Path | None]:
    """Write a student's table as the file that `finder` reads; None where there is none.

    An error names the table as the teacher knows it, not the file.
    """
    if not table:
        yield None
        return
    with text_as_file(table, "The student's table") as path:
        yield path
