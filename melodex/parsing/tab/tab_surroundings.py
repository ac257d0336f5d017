"""What stands above and below the five lines: chords, measure numbers, endings, fingers."""

import re
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeVar

from melodex.parsing.tab.tab_cells import TabMeasure

# What lead sheets print. Common practice, no source.
_CHORD = re.compile(
    r"[A-G][#b♯♭]?(?:maj|min|dim|aug|sus|add|[mM0-9+°ø#b()-])*(?:/[A-G][#b♯♭]?)?|N\.?C\.?"
)
_LIST = r"[0-9]{1,2}(?:,[0-9]{1,2}){0,15}"  # the passes of an ending
_NUMBER_OR_ENDING = re.compile(
    r"(?<![0-9])(?:"
    rf"(?:[\[|]\s?(?P<bracket>{_LIST})\.?|(?P<dotted>{_LIST})\.)[_-]*[\]|]?"
    r"|(?P<number>[0-9]{1,4})(?!\S))"
)
_FINGERS = {"T": "T", "P": "T", "I": "I", "M": "M", ".": ""}
_FINGER_ROW = re.compile(r"[\sTPIMtpim.]+")
_MELODY_SIGN = "^"
_MELODY_ROW = re.compile(r"[\s^']+")  # a stroke stands for a note that is not the melody's

_Said = TypeVar("_Said")


class Placed(NamedTuple):
    """A word at a column of the file's lines."""

    column: int
    text: str


class Surroundings(NamedTuple):
    """What is said of one measure; columns counted as in ``TabMeasure.strings``."""

    number: int | None
    ending: str  # "1", "1,3"; "" where none begins
    chords: tuple[Placed, ...]
    fingers: dict[int, str]  # by column, a letter for each note from string 1 on; " " for none
    # By column, which of the notes there carries the melody: 0 for that on the highest string.
    melody: dict[int, int]


def is_row_below(line: str) -> bool:
    """Return whether a line holds only letters of the right hand's fingers, or melody signs."""
    return (_FINGER_ROW.fullmatch(line) or _MELODY_ROW.fullmatch(line)) is not None


def is_row_above(line: str) -> bool:
    """Whether a line holds chords, or numbers of measures and endings, and nothing else."""
    return _is_chord_row(line) or _is_number_row(line)


def surroundings(
    measures: Sequence[TabMeasure], above: Iterable[str], below: Sequence[str]
) -> Iterator[Surroundings]:
    """Share out to the measures of a system what stands above and below it.

    Parameters
    ----------
    measures : sequence of TabMeasure
        Of one system.
    """
    rows = [line for line in above if is_row_above(line)]
    chords = [
        Placed(word.start(), word[0])
        for row in rows
        if _is_chord_row(row)
        for word in re.finditer(r"\S+", row)
    ]
    numbers, endings = _numbers_and_endings([row for row in rows if not _is_chord_row(row)])
    starts = [measure.column for measure in measures]
    # Players put an ending's number near its bar line, before or behind.
    ending_of = {
        min(starts, key=lambda start: abs(start - each.column)): each.text
        for each in reversed(endings)
    }
    fingers = _letters_by_column(row for row in below if _FINGER_ROW.fullmatch(row))
    melody = _melody_by_column(row for row in below if _MELODY_ROW.fullmatch(row))
    later = [measure.column for measure in measures[1:]]
    for measure, begin, end in zip(measures, [0, *later], [*later, sys.maxsize], strict=True):
        first = measure.column + measure.margin
        yield Surroundings(
            number=numbers.get(measure.column),
            ending=ending_of.get(measure.column, ""),
            chords=tuple(
                Placed(each.column - first, each.text)
                for each in sorted(chords)
                if begin <= each.column < end
            ),
            fingers=_within(fingers, begin, end, first),
            melody=_within(melody, begin, end, first),
        )


def _is_chord_row(line: str) -> bool:
    return bool(line.strip()) and all(_CHORD.fullmatch(word) for word in line.split())


def _is_number_row(line: str) -> bool:
    return bool(line.strip()) and not _NUMBER_OR_ENDING.sub("", line).strip()


def _numbers_and_endings(rows: Iterable[str]) -> tuple[dict[int, int], list[Placed]]:
    """List measure numbers by column, and endings where their measure begins."""
    numbers: dict[int, int] = {}
    endings: list[Placed] = []
    for row in rows:
        before = None
        for word in _NUMBER_OR_ENDING.finditer(row):
            ending = word["bracket"] or word["dotted"]
            if ending:
                # Behind a number it belongs to that measure, however narrow this is.
                follows = before is not None and before.end() == word.start() - 1
                column = before.start() if before is not None and follows else word.start() + 1
                endings.append(Placed(column, ending))
            else:
                numbers[word.start()] = int(word["number"])
            before = word
    return numbers, endings


def _within(rows: Mapping[int, _Said], begin: int, end: int, first: int) -> dict[int, _Said]:
    """Return what stands from one column up to another, by columns counted from ``first``."""
    return {column - first: said for column, said in rows.items() if begin <= column < end}


def _melody_by_column(rows: Iterable[str]) -> dict[int, int]:
    return {
        column: place
        for place, row in enumerate(rows)
        for column, sign in enumerate(row)
        if sign == _MELODY_SIGN
    }


def _letters_by_column(rows: Iterable[str]) -> dict[int, str]:
    letters: defaultdict[int, str] = defaultdict(str)
    for row in rows:
        for column, letter in enumerate(row.upper()):
            if letter in _FINGERS:
                letters[column] += _FINGERS[letter] or " "
    return letters
