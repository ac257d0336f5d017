"""Divide one system of text tab into measures at its bar lines."""

import re
from collections.abc import Iterator, Sequence
from itertools import count
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError

_BAR_LINE = re.compile(r"\|+\]?")
_TIMES = re.compile(r"\(?(?:[x\u00d7]\s?([1-9][0-9]?)|([1-9][0-9]?)\s?[x\u00d7])\)?", re.IGNORECASE)
_FINAL = "|]"
_DASHES_AND_FRETS = tuple("-0123456789")
_DOUBLE = "||"


class TabLine(NamedTuple):
    """One of the five lines of a system."""

    number: int  # line number in the file, from 1
    label: str
    column: int  # in the file's line, of its first character
    drawn: str


class TextMeasure(NamedTuple):
    """The text between two bar lines."""

    strings: tuple[str, ...]  # string 1 first, of equal lengths
    lines: tuple[int, ...]  # line numbers in the file, by string
    column: int = 0  # in the file's line, of the first character after the bar line
    margin: int = 0  # characters of a repeat sign's dots before ``strings``
    starts_repeat: bool = False
    ends_repeat: bool = False
    follows_final: bool = False  # whether it comes after a final bar line
    closing: str = ""  # the style of the bar line after it: "double", "final" or ""
    times: int = 0  # how often it, or the section ending with it, is played; 0: unmarked
    # How often the measures from the beginning of its line up to here are marked to be played.
    line_times: int = 0

    @property
    def is_same(self) -> bool:
        """Whether it holds only a sign that repeats the measure before."""
        return any("%" in text for text in self.strings) and not any(
            character.isdigit() for text in self.strings for character in text
        )


class _Cell(NamedTuple):
    column: int
    text: str
    before: str  # the bar line before it; "" if none is typed
    behind: str


def measures_of_system(
    system: Sequence[TabLine], first_number: int, shown: Path
) -> list[TextMeasure]:
    """Divide five lines into measures.

    Parameters
    ----------
    first_number : int
        The number of the first measure, for errors.

    Raises
    ------
    ScoreParseError
        If the lines are not aligned.
    """
    rows, behind = zip(*(_cells(line) for line in _of_one_length(system)), strict=True)
    for string, (line, row) in enumerate(zip(system, rows, strict=True), start=1):
        if len(row) != len(rows[0]):
            reason = (
                f"from measure {first_number} on, string {string} has {len(row)} "
                f"measures where string 1 has {len(rows[0])}"
            )
            raise ScoreParseError(shown, line=line.number, reason=reason)
    lines = tuple(line.number for line in system)
    measures: list[TextMeasure] = []
    numbers = count(first_number)
    for cells in zip(*rows, strict=True):
        times = _times_alone([cell.text for cell in cells]) if measures else 0
        if times:
            measures[-1] = measures[-1]._replace(times=times)
        else:
            measures.append(_measure(cells, lines, next(numbers), shown))
    times = max(map(_times, behind))
    if measures and times:
        last = measures[-1]
        is_repeat = last.ends_repeat
        measures[-1] = last._replace(times=times) if is_repeat else last._replace(line_times=times)
    return measures


def _of_one_length(system: Sequence[TabLine]) -> Iterator[TabLine]:
    """Yield lines; if none ends with a bar line, all are padded to the longest."""
    are_open = all(line.drawn.rstrip().endswith(_DASHES_AND_FRETS) for line in system)
    length = max(len(line.drawn.rstrip()) for line in system) if are_open else 0
    for line in system:
        yield line._replace(drawn=line.drawn.rstrip().ljust(length, "-")) if are_open else line


def _cells(line: TabLine) -> tuple[list[_Cell], str]:
    """Split a line at its bar lines; return also text without a dash after the last one."""
    cells: list[_Cell] = []
    begin, before = 0, ""
    for bar in _BAR_LINE.finditer(line.drawn):
        text = line.drawn[begin : bar.start()]
        cells.append(_Cell(line.column + begin, text, before, bar[0]))
        begin, before = bar.end(), bar[0]
    behind = line.drawn[begin:]
    if cells and not cells[0].text.strip():
        del cells[0]
    if "-" in behind:
        cells.append(_Cell(line.column + begin, behind, before, ""))
        behind = ""
    return cells, behind


def _measure(
    cells: Sequence[_Cell], lines: tuple[int, ...], number: int, shown: Path
) -> TextMeasure:
    for string, (cell, line) in enumerate(zip(cells, lines, strict=True), start=1):
        if len(cell.text) != len(cells[0].text):
            reason = (
                f"measure {number} is ragged: string {string} is {len(cell.text)} characters wide, "
                f"string 1 is {len(cells[0].text)}; align the bar lines"
            )
            raise ScoreParseError(shown, line=line, reason=reason)
    texts = [cell.text for cell in cells]
    starts = any(text.startswith(":") for text in texts)
    ends = any(text.endswith(":") for text in texts)
    # A dot directly before a fret takes the place of a dash.
    margin = int(starts and not any(text[1:2].isdigit() for text in texts))
    tail = int(ends and not any(text[-2:-1].isdigit() for text in texts))
    within = slice(margin, len(texts[0]) - tail)
    return TextMeasure(
        strings=tuple(text[within] for text in texts),
        lines=lines,
        column=cells[0].column,
        margin=margin,
        starts_repeat=starts,
        ends_repeat=ends,
        follows_final=any(_FINAL in cell.before for cell in cells),
        closing=_style([cell.behind for cell in cells]),
    )


def _style(bars: Sequence[str]) -> str:
    if any(_FINAL in bar for bar in bars):
        return "final"
    return "double" if any(_DOUBLE in bar for bar in bars) else ""


def _times(text: str) -> int:
    match = _TIMES.search(text)
    return int(match[1] or match[2]) if match else 0


def _times_alone(texts: Sequence[str]) -> int:
    """Return how often the measure before is to be played; 0 if this is a measure itself."""
    marks = [text.strip(" -") for text in texts if text.strip(" -")]
    is_mark = len(marks) == 1 and _TIMES.fullmatch(marks[0])
    has_dashes = any("-" in text for text in texts if marks and marks[0] in text)
    return _times(marks[0]) if is_mark and not has_dashes else 0


def with_whole_lines(measures: Sequence[TextMeasure]) -> Iterator[TextMeasure]:
    """Yield the measures, with lines and measures marked "xN" turned into repeats."""
    line_begins = 0
    marked = list(measures)
    for place, measure in enumerate(measures):
        if measure.lines != measures[line_begins].lines:
            line_begins = place
        if measure.line_times:
            marked[line_begins] = marked[line_begins]._replace(starts_repeat=True)
            marked[place] = marked[place]._replace(ends_repeat=True, times=measure.line_times)
        elif measure.times and not measure.ends_repeat:
            marked[place] = marked[place]._replace(starts_repeat=True, ends_repeat=True)
    yield from marked
