"""Text above and below the five tab lines: chords, measure numbers, endings, fingers."""

import re
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple, TypeVar

from melodex.parsing.tab.tab_cells import TextMeasure

# Chord symbols as on lead sheets. Common practice, no source.
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
_MELODY_ROW = re.compile(r"[\s^']+")  # an apostrophe stands for a note that is not melody

_Said = TypeVar("_Said")


class PlacedWord(NamedTuple):
    """A word and its column in the file's lines."""

    column: int
    text: str


class Surroundings(NamedTuple):
    """The text above and below one measure; columns counted as in ``TextMeasure.strings``."""

    number: int | None
    ending: str  # "1", "1,3"; "" if none begins here
    chords: tuple[PlacedWord, ...]
    fingers: dict[int, str]  # by column, a letter for each note from string 1 on; " " for none
    # By column, the index of the melody note there: 0 is the note on the highest string.
    melody: dict[int, int]


def is_row_below(line: str) -> bool:
    """Return whether a line holds only letters of right-hand fingers, or melody signs."""
    return (_FINGER_ROW.fullmatch(line) or _MELODY_ROW.fullmatch(line)) is not None


def is_row_above(line: str) -> bool:
    """Return whether a line holds only chords, or only numbers of measures and endings."""
    return _is_chord_row(line) or _is_number_row(line)


def surroundings(
    measures: Sequence[TextMeasure], above: Iterable[str], below: Sequence[str]
) -> Iterator[Surroundings]:
    """Yield, for each measure of a system, the text above and below it.

    Parameters
    ----------
    measures : sequence of TabMeasure
        The measures of one system.
    """
    rows = [line for line in above if is_row_above(line)]
    chords = [
        PlacedWord(word.start(), word[0])
        for row in rows
        if _is_chord_row(row)
        for word in re.finditer(r"\S+", row)
    ]
    numbers, endings = _numbers_and_endings([row for row in rows if not _is_chord_row(row)])
    starts = [measure.column for measure in measures]
    # Players put an ending's number near its bar line, before or after it.
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
                PlacedWord(each.column - first, each.text)
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


def _numbers_and_endings(rows: Iterable[str]) -> tuple[dict[int, int], list[PlacedWord]]:
    """Return measure numbers by column, and endings at the beginning of their measure."""
    numbers: dict[int, int] = {}
    endings: list[PlacedWord] = []
    for row in rows:
        before = None
        for word in _NUMBER_OR_ENDING.finditer(row):
            ending = word["bracket"] or word["dotted"]
            if ending:
                # Directly after a number, it belongs to that measure, however narrow.
                follows = before is not None and before.end() == word.start() - 1
                column = before.start() if before is not None and follows else word.start() + 1
                endings.append(PlacedWord(column, ending))
            else:
                numbers[word.start()] = int(word["number"])
            before = word
    return numbers, endings


def _within(rows: Mapping[int, _Said], begin: int, end: int, first: int) -> dict[int, _Said]:
    """Return the entries between two columns, with columns counted from ``first``."""
    return {column - first: entry for column, entry in rows.items() if begin <= column < end}


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
