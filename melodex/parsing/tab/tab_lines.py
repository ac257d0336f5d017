"""Text tab as typed: its heading, its groups of five lines, and the measures between bar lines."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError

STRINGS = 5
_HEADING = re.compile(
    r"\s*(title|tuning|capo|metre|meter|time|key|spacing)\s*:\s*(.*)", re.IGNORECASE
)
_SAME_HEADING = {"meter": "metre", "time": "metre"}
_TAB_LINE = re.compile(r"([A-Ga-g][#b♯♭]?)?\s*(?=[|:\-])(.*)")
_DRAWN = frozenset("-|:0123456789")
_FEWEST_DRAWN = 4  # characters; fewer are a dash in a sentence
_BAR_LINE = re.compile(r"\|+")


class TabMeasure(NamedTuple):
    """What stands between two bar lines."""

    strings: tuple[str, ...]  # string 1 first, equally long
    lines: tuple[int, ...]  # of the file, where each string is written
    starts_repeat: bool
    ends_repeat: bool
    spacing: str | None  # as stated last above it


@dataclass(frozen=True, slots=True)
class TypedTab:
    """A text tab taken apart."""

    headings: Mapping[
        str, str
    ]  # "title", "tuning", "capo", "metre", "key", "spacing", each as stated first
    labels: tuple[str, ...]  # the names before the first five lines, string 1 first; or empty
    measures: Sequence[TabMeasure]


class _TabLine(NamedTuple):
    number: int
    label: str
    drawn: str


@dataclass(slots=True)
class _Sorted:
    """The lines of a file by what they are."""

    headings: dict[str, str] = field(default_factory=dict[str, str])
    groups: list[list[_TabLine]] = field(default_factory=list[list[_TabLine]])
    spacings: list[str | None] = field(default_factory=list[str | None])  # one for each group


def holds_tab(text: str) -> bool:
    """Tell whether a text has five tab lines under each other."""
    in_a_row = 0
    for line in text.splitlines():
        in_a_row = in_a_row + 1 if _tab_line(0, line) else 0
        if in_a_row == STRINGS:
            return True
    return False


def take_apart(text: str, shown: Path) -> TypedTab:
    """Find the heading and the measures of a text tab.

    Parameters
    ----------
    shown : Path
        What errors call the file.

    Raises
    ------
    ScoreParseError
        If there is no tab, a group has more or fewer than five lines, or its lines do not stand
        under each other.
    """
    lines = _sorted_lines(text)
    if not lines.groups:
        raise ScoreParseError(shown, reason="it holds no tab: five lines of dashes and frets")
    measures: list[TabMeasure] = []
    for group, spacing in zip(lines.groups, lines.spacings, strict=True):
        for system in _systems([group], shown):
            found = _measures(system, len(measures) + 1, shown)
            measures += [measure._replace(spacing=spacing) for measure in found]
    labels = tuple(line.label for line in lines.groups[0][:STRINGS])
    return TypedTab(lines.headings, labels if all(labels) else (), measures)


def _sorted_lines(text: str) -> _Sorted:
    lines = _Sorted()
    last_tab_line = -1
    spacing: str | None = None
    for number, line in enumerate(text.splitlines(), start=1):
        tab_line = _tab_line(number, line)
        heading = _HEADING.fullmatch(line)
        if tab_line:
            if last_tab_line != number - 1:
                lines.groups.append([])
                lines.spacings.append(spacing)
            lines.groups[-1].append(tab_line)
            last_tab_line = number
        elif heading:
            name = heading[1].lower()
            lines.headings.setdefault(_SAME_HEADING.get(name, name), heading[2].strip())
            spacing = heading[2].strip() if name == "spacing" else spacing
        elif line.strip() and not lines.groups:
            lines.headings.setdefault("title", line.strip())
    return lines


def _tab_line(number: int, line: str) -> _TabLine | None:
    match = _TAB_LINE.fullmatch(line.strip())
    if match is None:
        return None
    drawn = sum(character in _DRAWN for character in match[2])
    is_tab = drawn >= _FEWEST_DRAWN and "-" in match[2] and 2 * drawn >= len(match[2])
    return _TabLine(number, match[1] or "", match[2]) if is_tab else None


def _systems(groups: Iterable[list[_TabLine]], shown: Path) -> Iterator[list[_TabLine]]:
    for group in groups:
        if len(group) % STRINGS:
            reason = f"{len(group)} tab lines stand together, and a five-string banjo has five"
            raise ScoreParseError(shown, line=group[0].number, reason=reason)
        for first in range(0, len(group), STRINGS):
            yield group[first : first + STRINGS]


def _measures(system: list[_TabLine], first_number: int, shown: Path) -> Iterator[TabMeasure]:
    cells = [_cells(line.drawn) for line in system]
    numbers = tuple(line.number for line in system)
    for string, line in enumerate(system, start=1):
        if len(cells[string - 1]) != len(cells[0]):
            reason = (
                f"from measure {first_number} on, string {string} has {len(cells[string - 1])} "
                f"measures where string 1 has {len(cells[0])}"
            )
            raise ScoreParseError(shown, line=line.number, reason=reason)
    for number, strings in zip(count(first_number), zip(*cells, strict=True), strict=False):
        _check_widths(strings, number, numbers, shown)
        starts = any(text.startswith(":") for text in strings)
        ends = any(text.endswith(":") for text in strings)
        without_dots = slice(int(starts), -1 if ends else None)
        yield TabMeasure(tuple(text[without_dots] for text in strings), numbers, starts, ends, None)


def _cells(drawn: str) -> list[str]:
    """Cut a line at its bar lines; what follows the last one without a dash is a remark."""
    cells = _BAR_LINE.split(drawn)
    if not cells[0].strip():
        del cells[0]
    if cells and "-" not in cells[-1]:
        del cells[-1]
    return cells


def _check_widths(strings: Sequence[str], number: int, lines: Sequence[int], shown: Path) -> None:
    for string, (text, line) in enumerate(zip(strings, lines, strict=True), start=1):
        if len(text) != len(strings[0]):
            reason = (
                f"measure {number} is ragged: string {string} is {len(text)} characters wide, "
                f"string 1 is {len(strings[0])}; let the bar lines stand under each other"
            )
            raise ScoreParseError(shown, line=line, reason=reason)
