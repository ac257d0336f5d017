"""What Verovio draws, made fit for a page: own ids, measures to click, marks, hands.

Colours are left to style sheets: everything is drawn in the current colour.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element, fromstring, tostring

from melodex.engraving.mei import Score
from melodex.engraving.svg_hands import (
    FINGER_ROW,
    add_counts,
    add_hands,
    frame_differing,
    rows_below,
)
from melodex.engraving.verovio_svg import UNITS_PER_PIXEL

_NAMESPACES = re.compile(r' xmlns(?::\w+)?="[^"]*"')
# Kinds of group that style sheets or scripts may mean; the others are nameless.
_KINDS_KEPT = {
    "bracketSpan", "chord", "dir", "ending", "harm", "keySig", "mNum", "measure", "note", "rest",
    "staff", "system", "tabGrp", "tie",
}  # fmt: skip
_AROUND = 360  # SVG units above and below the staff lines that a click on a measure may hit
_BELOW_TAB = 620  # SVG units that one row below it takes
_BESIDE = 100  # SVG units, the right margin
_SCALE = 10  # SVG units of music in one of the picture
_SHIFT = re.compile(r"translate\((-?\d+), (-?\d+)\)")
_STRAIGHT = re.compile(r"M(-?\d+) (-?\d+) L(-?\d+) (-?\d+)")


class Picture(NamedTuple):
    """What a picture is of."""

    prefix: str
    name: str  # for those who do not see it
    measures: Mapping[str, int]  # numbers as written, by the ids of the document's measures
    score: Score


class FinishedSvg(NamedTuple):
    """SVG for a page: one element, or several where the music is very long."""

    text: str
    width: int  # pixels at normal size
    height: int


def finished_svg(pages: Sequence[str], picture: Picture) -> FinishedSvg:
    """Make pages fit for a page of HTML."""
    elements = [
        _finished(page, picture, f"{picture.prefix}-{number}") for number, page in enumerate(pages)
    ]
    sizes = [list(map(int, element.attrib["viewBox"].split()[2:])) for element in elements]
    texts = [tostring(element, encoding="unicode") for element in elements]
    width, height = max(size[0] for size in sizes), sum(size[1] for size in sizes)
    return FinishedSvg("\n".join(texts), width // UNITS_PER_PIXEL, height // UNITS_PER_PIXEL)


def _finished(page: str, picture: Picture, glyphs: str) -> Element:
    root = fromstring(_NAMESPACES.sub("", page))  # noqa: S314 - Verovio's own writing
    _drop(root, {"style", "desc"})
    _drop_placeholders(root)
    root.attrib = {"viewBox": root.attrib["viewBox"], "class": "music", "role": "img"}
    root.set("aria-label", picture.name)
    root.set("data-picture", picture.prefix)
    drawing = root.find("svg")
    if drawing is not None:
        drawing.attrib.pop("color", None)
        drawing.attrib.pop("font-family", None)
    _name_glyphs(root, glyphs)
    names = _note_names(picture.score)
    for measure in list(_groups(root, "measure")):
        _make_clickable(measure, picture.measures[measure.attrib["data-id"]])
        _set_counts(measure, picture.score)
    _trim(root, picture.score)
    add_hands(root, picture.score)
    frame_differing(root)
    for group in root.iter():
        _tidy(group, names, picture.prefix)
    _drop_empty(root)
    return root


def _note_names(score: Score) -> set[str]:
    voices = [score.staff, *([score.tab] if score.tab else [])]
    return {name for voice in voices for names in voice.ids.values() for name in names}


def _groups(root: Element, kind: str) -> Iterator[Element]:
    return (group for group in root.iter("g") if group.get("data-class") == kind)


def _drop(root: Element, tags: set[str]) -> None:
    for child in list(root):
        if child.tag in tags:
            root.remove(child)
        else:
            _drop(child, tags)


def _drop_placeholders(root: Element) -> None:
    """Remove the dots that Verovio puts in place of what it does not draw, such as sections."""
    for group in root.iter("g"):
        if "placeholder" in group.get("class", "").split():
            for dot in group.findall("ellipse"):
                group.remove(dot)


def _name_glyphs(root: Element, prefix: str) -> None:
    """Keep the shapes of one picture apart from another's on the page."""
    names: dict[str, str] = {}
    for shape in root.iterfind("defs/g"):
        old = shape.attrib["id"]
        names[f"#{old}"] = f"{prefix}-{old.partition('-')[0]}"
        shape.set("id", names[f"#{old}"])
    for use in root.iter("use"):
        use.set("href", f"#{names[use.attrib['href']]}")


def _staff_lines(group: Element) -> list[tuple[int, int, int, int]]:
    """Give the ends of the staff lines within a group: left, top, right, bottom."""
    return [
        (int(found[1]), int(found[2]), int(found[3]), int(found[4]))
        for staff in _groups(group, "staff")
        for path in staff.iterfind("path")
        if (found := _STRAIGHT.fullmatch(path.get("d", "")))
    ]


def _trim(root: Element, score: Score) -> None:
    """Cut off what is empty beside a short line and, but for the rows there, below the last tab."""
    drawing = root.find("svg")
    lines = _staff_lines(root)
    margin = next((group for group in root.iter("g") if group.get("class") == "page-margin"), None)
    shift = _SHIFT.search("" if margin is None else margin.get("transform", ""))
    if drawing is None or shift is None or not lines:
        return
    _, _, width, height = map(int, drawing.attrib["viewBox"].split())
    width = min(width, int(shift[1]) + max(line[2] for line in lines) + _BESIDE)
    if score.tab:
        rows = FINGER_ROW * (rows_below(score) - 1)
        height = int(shift[2]) + max(line[3] for line in lines) + _BELOW_TAB + rows
    drawing.set("viewBox", f"0 0 {width} {height}")
    root.set("viewBox", f"0 0 {width // _SCALE} {height // _SCALE}")


def _set_counts(measure: Element, score: Score) -> None:
    lines = _staff_lines(measure)
    if lines:
        add_counts(measure, max(line[3] for line in lines), score)


def _make_clickable(measure: Element, number: int) -> None:
    """Lay an unseen area over the staves of a measure, and tell its number as written."""
    measure.set("data-measure", str(number))
    lines = _staff_lines(measure)
    if not lines:
        return
    left, right = min(line[0] for line in lines), max(line[2] for line in lines)
    top, bottom = min(line[1] for line in lines), max(line[3] for line in lines)
    area = Element("rect", {"class": "measure-area", "x": str(left), "y": str(top - _AROUND)})
    area.attrib.update({"width": str(right - left), "height": str(bottom - top + 2 * _AROUND)})
    measure.insert(0, area)


def _tidy(element: Element, names: set[str], prefix: str) -> None:
    """Keep the ids of notes and the classes that are of use."""
    name, kind = element.attrib.pop("data-id", None), element.attrib.pop("data-class", None)
    if name in names:
        element.set("id", f"{prefix}-{name}")
    if kind is not None and kind not in _KINDS_KEPT:
        del element.attrib["class"]


def _drop_empty(element: Element) -> None:
    for child in list(element):
        _drop_empty(child)
        if child.tag == "g" and len(child) == 0:
            element.remove(child)
