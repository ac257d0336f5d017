"""Place words at given columns, in as few rows as possible without overlaps."""

from collections.abc import Iterable
from typing import NamedTuple


class Word(NamedTuple):
    """A word and the column of its first character."""

    column: int
    text: str


def in_rows(words: Iterable[Word]) -> list[str]:
    """Return rows of text; each word is in the first row with room for it and a space before it.

    Examples
    --------
    >>> in_rows([Word(0, "Am7"), Word(2, "D"), Word(5, "G")])
    ['Am7  G', '  D']
    """
    rows: list[str] = []
    for column, text in sorted(words):
        place = next((n for n, row in enumerate(rows) if len(row) < column), len(rows))
        if place == len(rows):
            rows.append("")
        rows[place] = rows[place].ljust(column) + text
    return rows
