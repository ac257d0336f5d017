"""Bar lines that end one repeat and begin the next, cut in two: a half for each measure.

Where a line of music ends there, it ends with the sign of the end, and the next line begins with
the sign of the beginning.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement

_LINE = re.compile(r"M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)")
_PLACE = re.compile(r"translate\((-?\d+)")


def split_repeats(measures: Sequence[Element]) -> dict[int, list[Element]]:
    """Cut such bar lines to the right of their thick line, and move the rest to the next measure.

    Returns
    -------
    mapping
        By the place of each measure that follows one: the thick lines, which the measure needs to
        its left, with x from where it begins.
    """
    thick_lines: dict[int, list[Element]] = {}
    for place, (measure, following) in enumerate(pairwise(measures), start=1):
        for bar_line in _groups(measure, "barLine"):
            thick = _thick_line_between_dots(bar_line)
            if thick is None:
                continue
            middle, half = thick
            edge = middle + half
            second = SubElement(following, "g", {"class": "barLine", "data-class": "barLine"})
            for part in list(bar_line):
                x = _x_of(part)
                if x > edge:
                    bar_line.remove(part)
                    second.append(part)
                elif x == middle:
                    thick_lines.setdefault(place, []).append(_moved_to(part, -half))
            _end_staff_lines(measure, following, edge)
    return thick_lines


def _groups(measure: Element, kind: str) -> Iterator[Element]:
    return (group for group in measure.iter("g") if group.get("data-class") == kind)


def _thick_line_between_dots(bar_line: Element) -> tuple[int, int] | None:
    """Return the middle and half the width of the thick line; None where no dots are beside it."""
    lines, dots = bar_line.findall("path"), [_x_of(dot) for dot in bar_line.findall("use")]
    if not lines or not dots:
        return None
    thickest = max(lines, key=lambda line: int(line.get("stroke-width", "0")))
    middle = _x_of(thickest)
    if not min(dots) < middle < max(dots):
        return None
    return middle, int(thickest.get("stroke-width", "0")) // 2


def _x_of(part: Element) -> int:
    found = _LINE.fullmatch(part.get("d", "")) or _PLACE.match(part.get("transform", ""))
    return int(found[1]) if found else 0


def _moved_to(line: Element, x: int) -> Element:
    found = _LINE.fullmatch(line.get("d", ""))
    _, top, _, bottom = found.groups() if found else ("", "0", "", "0")
    return Element("path", {**line.attrib, "d": f"M{x} {top} L{x} {bottom}"})


def _end_staff_lines(measure: Element, following: Element, edge: int) -> None:
    """Let the staff lines of a measure end, and those of the next begin, at a place."""
    for group, is_first in ((measure, True), (following, False)):
        for staff in _groups(group, "staff"):
            for path in staff.findall("path"):
                found = _LINE.fullmatch(path.get("d", ""))
                if found and found[2] == found[4]:
                    left, right = (found[1], edge) if is_first else (edge, found[3])
                    path.set("d", f"M{left} {found[2]} L{right} {found[4]}")
