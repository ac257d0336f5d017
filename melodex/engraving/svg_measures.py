"""Split one line of engraved music at its bar lines: an SVG for each measure.

A page flows measures like words. Each has a head (clef and key) at its left that the measure before
it covers, so that the head is visible only at the start of a line. Elements that cross a bar line
are drawn on both sides of it.
"""

import re
from collections.abc import Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from math import ceil
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement

from melodex.engraving.svg_repeats import split_repeats

UNITS_OF_EM = 288  # SVG units; a staff space is 180, so a staff is two and a half letters high
_HALF_EM = UNITS_OF_EM // 2
_NUMBER = 270  # font size of a measure's number
_NUMBER_ROW = 330  # row above all engraved elements, so that a number does not touch a chord
_NUMBER_RISES = 80  # of its baseline above the engraved elements
_AFTER_CLEF, _AFTER_ACCIDENTAL, _BEFORE_METRE = 560, 220, 60
_HEAD_REACHES = 540  # above and below the lines: three spaces hold a clef with its 8
_BESIDE = 60  # elements that extend less over a bar line are not split
_CROSSING = {"tie", "bracketSpan", "voltaBracket", "barLine", "hand-arc"}
_STRAIGHT = re.compile(r"M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)")
_NUMBERS = re.compile(r"-?\d+")


class StaffLines(NamedTuple):
    """The positions of staff lines."""

    left: int
    top: int
    right: int
    bottom: int


class SvgSection(NamedTuple):
    """A section of the line of music, in SVG units."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Sizes:
    """The size of a picture in ems."""

    head: float  # of a line, before its first measure
    measures: tuple[float, ...]  # widths
    height: float  # of a line

    def widths(self, room: float) -> list[float]:
        """Return the widths of lines when measures are filled in one after the other.

        Parameters
        ----------
        room : float
            Maximum width of a line in ems; a wider measure has a line of its own.
        """
        lines = [self.head]
        for measure in self.measures:
            if lines[-1] > self.head and lines[-1] + measure > room:
                lines.append(self.head)
            lines[-1] += measure
        return lines


def staff_lines(group: Element) -> StaffLines | None:
    """Return the positions of the staff lines within a group; None if it has none."""
    found = [
        tuple(map(int, match.groups()))
        for staff in group.iter("g")
        if staff.get("data-class") == "staff"
        for path in staff.iterfind("path")
        if (match := _STRAIGHT.fullmatch(path.get("d", "")))
    ]
    if not found:
        return None
    lefts, tops, rights, bottoms = zip(*found, strict=True)
    return StaffLines(min(lefts), min(tops), max(rights), max(bottoms))


def cut_at_bar_lines(
    system: Element, numbers: Sequence[tuple[int, bool]], bottom: int, name: str
) -> tuple[list[Element], Sizes]:
    """Split a line of music into measures.

    Parameters
    ----------
    system : Element
        The group of the line, with its classes as Verovio names them.
    numbers : sequence of (int, bool)
        The number of each measure as written, and whether to show it.
    bottom : int
        The y of the picture's lower edge, in SVG units.
    name : str
        The prefix of the head's id.

    Returns
    -------
    (list of Element, Sizes)
        The head (a group to be defined once), then an element for each measure.
    """
    measures = [each for each in system.iter("g") if each.get("data-class") == "measure"]
    thick_lines = split_repeats(measures)
    lines = [found for each in measures if (found := staff_lines(each))]
    begin = _begin_of_music(measures[0], lines[0])
    halves = ceil(begin / _HALF_EM)
    lefts = [begin, *(each.left for each in lines[1:])]
    crossing = list(_crossing(system, [each.right for each in lines]))
    head = _head(system, measures[0], begin, f"{name}-head")
    whole = SvgSection(0, -_NUMBER_ROW, 0, bottom + _NUMBER_ROW)
    boxes: list[Element] = []
    for place, (measure, (number, is_shown), left, line) in enumerate(
        zip(measures, numbers, lefts, lines, strict=True)
    ):
        window = whole._replace(left=left, width=line.right - left)
        box = Element("span", {"class": "measure-box", "data-measure": str(number)})
        of_head = window._replace(left=begin - halves * _HALF_EM, width=halves * _HALF_EM)
        head_svg = _svg(box, "head", of_head)
        SubElement(head_svg, "use", {"href": f"#{name}-head"})
        if place in thick_lines:  # seen, like the head, only where a line begins
            shift = {"transform": f"translate({begin}, 0)"}
            SubElement(head_svg, "g", shift).extend(thick_lines[place])
        svg = _svg(box, "bar", window)
        _add_areas(svg, window, line)
        if is_shown:
            where = {"x": str(left), "y": str(-_NUMBER_RISES), "font-size": f"{_NUMBER}px"}
            SubElement(svg, "text", {"class": "number", **where}).text = str(number)
        svg.append(measure)
        _add_crossing(svg, window, crossing)
        boxes.append(box)
    widths = [(line.right - left) / UNITS_OF_EM for line, left in zip(lines, lefts, strict=True)]
    return [head, *boxes], Sizes(halves / 2, tuple(widths), whole.height / UNITS_OF_EM)


def _begin_of_music(measure: Element, lines: StaffLines) -> int:
    """Return where clef and key end: the first measure is cut from the head there."""
    ends = [lines.left]
    for group in measure.iter("g"):
        kind = group.get("data-class")
        places = [_left_of(use) for use in group.iter("use")]
        if not places:
            continue
        if kind == "meterSig" and group.get("visibility") != "hidden":
            return min(places) - _BEFORE_METRE
        if kind in {"clef", "keySig"}:
            ends.append(max(places) + (_AFTER_CLEF if kind == "clef" else _AFTER_ACCIDENTAL))
    return max(ends)


def _left_of(use: Element) -> int:
    return int(_NUMBERS.findall(use.get("transform", "0"))[0])


def _head(system: Element, measure: Element, right: int, name: str) -> Element:
    """Move clef, key and the line before the staves out of the first measure."""
    head = Element("g", {"id": name})
    for path in system.findall("path"):
        system.remove(path)
        head.append(path)
    for staff in measure.iter("g"):
        if staff.get("data-class") == "staff":
            head.extend(_lines_up_to(right, staff))
            _move_signs(staff, head)
    for path in head.findall("path"):
        path.set("stroke", "currentColor")  # CSS rules do not reach inside a use
    return head


def _lines_up_to(right: int, staff: Element) -> Iterator[Element]:
    """Split staff lines in two, and yield their first parts."""
    for path in staff.findall("path"):
        found = _STRAIGHT.fullmatch(path.get("d", ""))
        if found:
            line = deepcopy(path)
            line.set("d", f"M0 {found[2]} L{right} {found[4]}")
            path.set("d", f"M{right} {found[2]} L{found[3]} {found[4]}")  # draws no line twice
            yield line


def _move_signs(staff: Element, head: Element) -> None:
    for group in staff.findall("g"):
        if group.get("data-class") in {"clef", "keySig"}:
            staff.remove(group)
            head.append(group)


def _svg(parent: Element, kind: str, window: SvgSection) -> Element:
    size = (("width", window.width), ("height", window.height))
    ems = {name: f"{units / UNITS_OF_EM:.4g}em" for name, units in size}
    view = " ".join(map(str, window))
    return SubElement(parent, "svg", {"class": kind, "viewBox": view, **ems})


def _add_areas(svg: Element, window: SvgSection, lines: StaffLines) -> None:
    """Cover the next measure's head, and add an invisible area over the measure for clicks."""
    cover = SvgSection(
        window.left,
        lines.top - _HEAD_REACHES,
        window.width,
        lines.bottom - lines.top + 2 * _HEAD_REACHES,
    )
    for kind, area in (("cover", cover), ("measure-area", window)):
        names = ("x", "y", "width", "height")
        place = dict(zip(names, map(str, area), strict=True))
        SubElement(svg, "rect", {"class": kind, **place})


class _Crossing(NamedTuple):
    element: Element
    left: int
    right: int


def _crossing(system: Element, ends: Sequence[int]) -> Iterator[_Crossing]:
    """Remove and yield elements that cross a bar line or belong to no measure."""
    for parent in list(system.iter("g")):
        for child in list(parent):
            kind = child.get("data-class") or child.get("class", "")
            if kind not in _CROSSING:
                continue
            xs = list(_xs_of(child))
            if not xs:
                continue
            left, right = min(xs), max(xs)
            if kind == "voltaBracket" or any(left < end < right for end in ends):
                parent.remove(child)
                yield _Crossing(child, left, right)


def _xs_of(element: Element) -> Iterator[int]:
    """Yield x coordinates of the outlines of an element."""
    for each in element.iter():
        if "transform" in each.attrib:
            yield _left_of(each)
        outline = each.get("d", "") + each.get("points", "")
        yield from map(int, _NUMBERS.findall(outline)[::2])


def _add_crossing(svg: Element, window: SvgSection, crossing: Sequence[_Crossing]) -> None:
    """Draw the parts within a measure of all elements that cross bar lines."""
    begin, end = window.left + _BESIDE, window.left + window.width - _BESIDE
    inside = [each.element for each in crossing if each.left < end and begin < each.right]
    if inside:
        window = window._replace(left=window.left - _BESIDE, width=window.width + 2 * _BESIDE)
        names = ("x", "y", "width", "height")
        place = dict(zip(names, map(str, window), strict=True))
        view = " ".join(map(str, window))
        part = SubElement(svg, "svg", {"class": "across", "viewBox": view, **place})
        part.extend(deepcopy(inside))
