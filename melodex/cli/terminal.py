"""Print lines and tables for people; the only place where text reaches a terminal."""

import shutil
import sys
from collections.abc import Iterable, Mapping, Sequence
from textwrap import TextWrapper
from typing import TextIO, TypeAlias, cast

from melodex.cli.printable import printable

Row: TypeAlias = Mapping[str, object]
UNKNOWN = "unknown"
UNLIMITED = 1_000_000  # characters a line where output is piped; longer than any line
_GAP = 2  # characters between two columns


def line_width() -> int:
    """Return the width of standard output in characters; piped lines are never broken."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else UNLIMITED


def print_lines(*lines: str) -> None:
    """Print lines on standard output."""
    _print(sys.stdout, lines)


def notice(*lines: str) -> None:
    """Print lines that are not part of the result on standard error."""
    _print(sys.stderr, lines)


def _print(stream: TextIO, lines: Iterable[str]) -> None:
    """Print lines; one that is too long for the terminal continues below its first word."""
    width = shutil.get_terminal_size().columns if stream.isatty() else UNLIMITED
    for line in map(printable, lines):
        indent = line[: len(line) - len(line.lstrip())]
        wrapper = TextWrapper(
            width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
        )
        fits = len(line) <= width
        stream.write("\n".join([line] if fits else wrapper.wrap(line)) + "\n")


def counted(number: int, what: str) -> str:
    """Return a number of things in words.

    Examples
    --------
    >>> counted(1, "song"), counted(0, "song"), counted(12760, "song")
    ('1 song', '0 songs', '12,760 songs')
    """
    return f"{number:,} {what}{'s'[: number != 1]}"


def print_table(columns: Mapping[str, str], rows: Sequence[Row]) -> None:
    """Print a table for people, at most as wide as the terminal; cells are wrapped at words.

    Parameters
    ----------
    columns : mapping
        Heading to key; a heading that ends in "#" belongs to a column of numbers, right-aligned.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    headings = [heading.rstrip("# ") for heading in columns]
    body = [[_shown(row[key]) for key in columns.values()] for row in rows]
    widths = _column_widths([headings, *body], line_width())
    table = Table(box=None, pad_edge=False, padding=(0, _GAP, 0, 0))
    for heading, column, width in zip(headings, columns, widths, strict=True):
        number = column.endswith("#")
        table.add_column(
            heading, justify="right" if number else "left", overflow="fold", width=width
        )
    for cells in body:  # as Text, so that brackets and colons in a title are not read as markup
        table.add_row(*map(Text, cells))
    # Without a height, rich assumes that a "dumb" terminal has 80 columns.
    console = Console(highlight=False, width=UNLIMITED, height=1)
    with console.capture() as captured:
        console.print(table)
    sys.stdout.writelines(f"{line.rstrip()}\n" for line in captured.get().splitlines())


def _column_widths(rows: Sequence[Sequence[str]], room: int) -> list[int]:
    """Return each column's width: the widest shrink first, down to their longest words."""
    from rich.cells import cell_len

    columns = list(zip(*rows, strict=True))
    widths = [max(1, *map(cell_len, cells)) for cells in columns]
    longest_words = [max(1, *map(cell_len, " ".join(cells).split())) for cells in columns]
    room -= _GAP * (len(columns) - 1)
    for least in (longest_words, [1] * len(columns)):  # a word is broken where nothing else helps
        while sum(widths) > room and widths != least:
            reducible = [n for n, width in enumerate(widths) if width > least[n]]
            widths[max(reducible, key=widths.__getitem__)] -= 1
    return widths


def _shown(value: object) -> str:
    if value is None:
        return UNKNOWN
    if isinstance(value, float):
        return f"{value:g}"
    return printable(str(value_in_cell(value)))


def value_in_cell(value: object) -> object:
    """Return a value as one cell holds it: a list as its values, a pair as a:b.

    Values are separated by spaces, or by semicolons where a value contains spaces.
    """
    if isinstance(value, list | tuple):
        parts = [_part(part) for part in cast("Sequence[object]", value)]
        return ("; " if any(" " in part for part in parts) else " ").join(parts)
    return value


def _part(part: object) -> str:
    if isinstance(part, dict):
        part = list(cast("Mapping[str, object]", part).values())
    if isinstance(part, list | tuple):
        return ":".join(map(str, cast("Sequence[object]", part)))
    return str(part)
