"""Read tables written by hand: a CSV with a header, each line with its number."""

import csv
import itertools
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from melodex.errors import DescriptionError, ScoreParseError
from melodex.parsing.file_content import decode_text, read_bounded

_DELIMITERS = ",;\t"
_NEXT_STEP = "correct that and run the same command again; nothing has been changed."


class TableLine(NamedTuple):
    """A line that has any text; missing cells are empty."""

    line: int  # counted from 1; the header is usually line 1
    cells: dict[str, str]  # by column name, in lower case


def read_table(path: Path, *, one_of: Sequence[str]) -> list[TableLine]:
    """Read a CSV that has at least one of the columns in ``one_of``.

    Commas, semicolons or tabs may separate the cells; the text may be UTF-8, UTF-16 or Latin-1.

    Raises
    ------
    DescriptionError
        If the file cannot be read, or a line is wrong, which the message names.
    """
    return _table(path, _text_of(path), one_of)


def _table(path: Path, text: str, one_of: Sequence[str]) -> list[TableLine]:
    lines = _cells_of_lines(path, text)
    header_line, header = next(lines)
    columns = [cell.casefold() for cell in header]
    _check_columns(path, header_line, columns, one_of)
    return [TableLine(line, _named_cells(path, line, columns, cells)) for line, cells in lines]


def read_list_or_table(
    path: Path, *, one_of: Sequence[str], notes: re.Pattern[str]
) -> tuple[list[TableLine], list[tuple[int, str]]]:
    """Read a CSV as ``read_table`` does, or a plain list of values for its first column.

    Lines that match ``notes`` at their beginning are returned separately, with their numbers. A
    file is a list if its first line names none of the columns. In a list, and in a table of one
    column, a line is one cell, commas included.

    Raises
    ------
    DescriptionError
        If the file cannot be read, or a line is wrong, which the message names.
    """
    every = list(enumerate(_text_of(path).splitlines(), 1))
    apart = [(number, line.strip()) for number, line in every if notes.match(line)]
    text = "\n".join("" if notes.match(line) else line for _, line in every)
    return _list_or_table(path, text, one_of), apart


def _list_or_table(path: Path, text: str, one_of: Sequence[str]) -> list[TableLine]:
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), 1)]
    lines = [(number, line) for number, line in lines if line]
    header = lines[0][1].casefold() if lines else ""
    if not lines or not any(column in _words(header) for column in one_of):
        column = one_of[0]
    elif header in one_of:
        column = header
        del lines[0]
    else:
        return _table(path, text, one_of)
    return [TableLine(number, {column: _unquoted(line)}) for number, line in lines]


def _words(header: str) -> list[str]:
    delimiter = max(_DELIMITERS, key=header.count)
    return [cell.strip().strip('"') for cell in header.split(delimiter)]


def _unquoted(line: str) -> str:
    quoted = len(line) > 1 and line[0] == line[-1] == '"'
    return line[1:-1].replace('""', '"').strip() if quoted else line


def table_mistake(path: Path, line: int, reason: str) -> DescriptionError:
    """Return the error for a line; ``reason`` is lower case without a full stop."""
    return DescriptionError(f"{path}, line {line}: {reason}.", _NEXT_STEP)


def _cells_of_lines(path: Path, text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each line's number and its cells, skipping lines without any text."""
    first_line = text.lstrip().partition("\n")[0]
    delimiter = max(_DELIMITERS, key=first_line.count)
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter, strict=True)
    line = 1
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        raise table_mistake(path, line, f"the cells cannot be separated ({error})") from error


def _text_of(path: Path) -> str:
    try:
        return decode_text(read_bounded(path, path))
    except ScoreParseError as error:
        raise DescriptionError(error.problem, "name a CSV file with lines of text.") from error


def _check_columns(path: Path, line: int, columns: Sequence[str], one_of: Sequence[str]) -> None:
    if not set(one_of) & set(columns):
        wanted = " or ".join(map(repr, one_of))
        raise table_mistake(path, line, f"no column is called {wanted}")
    for column in columns:
        if column and columns.count(column) > 1:
            raise table_mistake(path, line, f"two columns are called {column!r}")


def _named_cells(
    path: Path, line: int, columns: Sequence[str], cells: Sequence[str]
) -> dict[str, str]:
    """Return a line's cells by column name; cells missing from a short line are empty."""
    named = list(itertools.zip_longest(columns, cells[: len(columns)], fillvalue=""))
    nameless = [cell for column, cell in named if not column] + list(cells[len(columns) :])
    for cell in filter(None, nameless):
        hint = " (a title with commas needs quotes)" if len(cells) > len(columns) else ""
        raise table_mistake(path, line, f"{cell!r} is in a column without a name{hint}")
    return {column: cell for column, cell in named if column}
