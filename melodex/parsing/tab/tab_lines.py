"""Split text tab into its heading, its groups of five lines, and the measures in them."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError
from melodex.parsing.tab.tab_cells import TabLine, TextMeasure, measures_of_system, with_whole_lines
from melodex.parsing.tab.tab_surroundings import (
    Surroundings,
    is_row_above,
    is_row_below,
    surroundings,
)
from melodex.parsing.tab.tab_words import tuning_in_words

STRINGS = 5
_HEADING = re.compile(
    r"\s*(title|tuning|capo|metre|meter|time|tempo|key|spacing)\s*:\s*(.*)", re.IGNORECASE
)
_SAME_HEADING = {"meter": "metre", "time": "metre"}
_TAB_LINE = re.compile(r"([A-Ga-g][#b♯♭]?|[1-5](?=\s*\|))?\s*(?=[|:\-])(.*)")
_DRAWN = frozenset("-|]:0123456789")
_FEWEST_DRAWN = 4  # characters; fewer are a dash in a sentence
_BLANK = frozenset("|]:% -")  # all other characters allowed in a line with "%"
_BAR_LINES_OF_A_MEASURE = 2


class Heading(NamedTuple):
    """The content of a line above the tab."""

    text: str
    line: int | None  # line number in the file, from 1


NO_HEADING = Heading("", None)
_RESTATED = ("metre", "spacing")  # headings that may change from one system to the next


@dataclass(frozen=True, slots=True)
class TypedTab:
    """A text tab split into its elements."""

    # The first of each: "title", "tuning", "capo", "metre", "tempo", "key", "spacing"
    headings: Mapping[str, Heading]
    titles: Sequence[str]  # the main one first
    labels: tuple[str, ...]  # names at the left of the first five lines; or empty
    measures: Sequence[TextMeasure]
    surroundings: Sequence[Surroundings]  # of each measure
    stated: Sequence[Mapping[str, Heading]]  # metre and spacing in force at each measure

    def heading(self, name: str) -> Heading:
        """Return a heading; it is empty if there is none."""
        return self.headings.get(name, NO_HEADING)

    def headings_above(self, name: str) -> list[Heading]:
        """Return the metre or spacing in force at each measure, else the song's first."""
        return [stated.get(name, self.heading(name)) for stated in self.stated]


@dataclass(slots=True)
class _Group:
    """Consecutive tab lines, and the lines above and below them."""

    above: list[str]
    stated: Mapping[str, Heading]
    lines: list[TabLine] = field(default_factory=list[TabLine])
    below: list[str] = field(default_factory=list[str])


@dataclass(slots=True)
class _Sorted:
    """The lines of a file, sorted by kind."""

    headings: dict[str, Heading] = field(default_factory=dict[str, Heading])
    titles: list[str] = field(default_factory=list[str])
    groups: list[_Group] = field(default_factory=list[_Group])
    restated: dict[str, Heading] = field(default_factory=dict[str, Heading])  # the latest of each

    def state(self, name: str, text: str, number: int) -> None:
        """Record the content of a heading."""
        known = _SAME_HEADING.get(name.lower(), name.lower())
        heading = Heading(text.strip(), number)
        self.headings.setdefault(known, heading)
        if known == "title" and not self.groups:
            self.titles.append(heading.text)
        if known in _RESTATED:
            self.restated[known] = heading

    def take_words(self, line: str, number: int) -> None:
        """Read a heading in words from a line before the tab; the first other line is the title."""
        if self.groups or is_row_above(line):
            return
        stated = tuning_in_words(line)
        for name, text in stated.items():
            self.headings.setdefault(name, Heading(text, number))
        if not self.titles and not stated:
            self.titles.append(line.strip())


def holds_tab(text: str) -> bool:
    """Return whether a text has five consecutive tab lines."""
    in_a_row = 0
    for line in text.splitlines():
        in_a_row = in_a_row + 1 if _tab_line(0, line.expandtabs()) else 0
        if in_a_row == STRINGS:
            return True
    return False


def split_tab(text: str, shown: Path) -> TypedTab:
    """Split a text tab into its heading and its measures.

    Parameters
    ----------
    shown : Path
        The path as errors show it.

    Raises
    ------
    ScoreParseError
        If there is no tab, or a group does not have five lines, or its lines are not aligned.
    """
    lines = _sorted_lines(text)
    if not lines.groups:
        raise ScoreParseError(shown, reason="it contains no tab: five lines of dashes and frets")
    measures: list[TextMeasure] = []
    surrounding: list[Surroundings] = []
    stated: list[Mapping[str, Heading]] = []
    for system in _systems(lines.groups, shown):
        found = measures_of_system(system.lines, len(measures) + 1, shown)
        measures += found
        surrounding += surroundings(found, system.above, system.below)
        stated += [system.stated] * len(found)
    labels = tuple(line.label for line in lines.groups[0].lines[:STRINGS])
    names = labels if all(label.strip("12345") for label in labels) else ()
    titles = list(filter(None, lines.titles))
    return TypedTab(
        lines.headings, titles, names, list(with_whole_lines(measures)), surrounding, stated
    )


def _sorted_lines(text: str) -> _Sorted:
    lines = _Sorted()
    above: list[str] = []  # lines since the last empty one, which may belong to the next group
    open_group: _Group | None = None
    for number, typed in enumerate(text.splitlines(), start=1):
        line = typed.expandtabs()
        tab_line = _tab_line(number, line)
        heading = _HEADING.fullmatch(line)
        if tab_line:
            if open_group is None or above or open_group.below:
                open_group = _Group(above, dict(lines.restated))
                lines.groups.append(open_group)
                above = []
            open_group.lines.append(tab_line)
        elif heading:
            lines.state(heading[1], heading[2], number)
        elif not line.strip():
            above, open_group = [], None
        elif open_group is not None and is_row_below(line):
            open_group.below.append(line)
        else:
            above.append(line)
            lines.take_words(line, number)
    return lines


def _tab_line(number: int, line: str) -> TabLine | None:
    bare = line.strip()
    match = _TAB_LINE.fullmatch(bare)
    if match is None:
        return None
    drawn = sum(character in _DRAWN for character in match[2])
    is_tab = drawn >= _FEWEST_DRAWN and "-" in match[2] and 2 * drawn >= len(match[2])
    is_blank = _BLANK.issuperset(match[2]) and match[2].count("|") >= _BAR_LINES_OF_A_MEASURE
    if not is_tab and not is_blank:
        return None
    indent = len(line) - len(line.lstrip())
    return TabLine(number, match[1] or "", indent + match.start(2), match[2])


def _systems(groups: Iterable[_Group], shown: Path) -> Iterator[_Group]:
    for group in groups:
        if len(group.lines) % STRINGS:
            reason = f"{len(group.lines)} consecutive tab lines, but a five-string banjo has five"
            raise ScoreParseError(shown, line=group.lines[0].number, reason=reason)
        last = len(group.lines) - STRINGS
        for first in range(0, len(group.lines), STRINGS):
            yield _Group(
                group.above if first == 0 else [],
                group.stated,
                group.lines[first : first + STRINGS],
                group.below if first == last else [],
            )
