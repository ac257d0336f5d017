"""A student's table: pasted into a form, or sent as a file; a file again for those who read it."""

from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path

from melodex.errors import DescriptionError, QueryError
from melodex.web.form_fields import Fields


def student_table(fields: Fields) -> str:
    """Read a student's table, pasted or sent as a file; "" where there is none.

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
def table_file(folder: Path, table: str) -> Generator[Path | None]:
    """Write a student's table into a folder, as the file that `finder` reads.

    None where there is none. An error names the table as the teacher knows it, not the file.
    """
    if not table:
        yield None
        return
    path = folder / "student.csv"
    path.write_text(table, encoding="utf-8")
    try:
        yield path
    except DescriptionError as error:
        problem = error.problem.replace(str(path), "The student's table")
        raise DescriptionError(problem, error.next_step) from error
