"""A student's table: pasted into a form, or sent as a file; a file again for those who read it."""

from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path

from melodex.errors import QueryError
from melodex.finder.teaching.students import text_as_file
from melodex.web.form_fields import Fields


def student_table(fields: Fields) -> str:
    """Read a student's table: pasted, sent as a file, or saved; "" where there is none.

    Raises
    ------
    QueryError
        If it is given both ways, or is no text.
    """
    pasted, files = fields.text("student"), fields.files("student_file")
    if not files:
        return pasted
    if pasted:
        raise QueryError("The student's table is given twice.", "paste it, or choose the file.")
    try:
        return files[0].file.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise QueryError(
            "The student's table is no text.", "save it as CSV in UTF-8 and choose it again."
        ) from None


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
