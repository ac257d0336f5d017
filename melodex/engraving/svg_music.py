"""Post-process Verovio's SVG for a page: unique ids, clickable measures, marks, hands.

Colours are left to style sheets: everything is drawn in the current colour.
"""

import re
from collections.abc import Iterator
from math import ceil
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement, fromstring, tostring

from melodex.engraving.mei import Score
from melodex.engraving.svg_hands import (
    FINGER_ROW,
    add_counts,
    add_hands,
    frame_differing,
    rows_below,
)
from melodex.engraving.svg_measures import Sizes, cut_at_bar_lines, staff_lines

_NAMESPACES = re.compile(r' xmlns(?::\w+)?="[^"]*"')
# Classes of groups that style sheets or scripts refer to; all others are removed.
_KINDS_KEPT = {
    "bracketSpan", "chord", "dir", "ending", "harm", "keySig", "measure", "note", "rest", "staff",
    "system", "tabGrp", "tie", "voltaBracket",
}  # fmt: skip
_NARROWEST, _WIDEST = 8, 60  # ems, of the classes in music.css
_BELOW_TAB = 620  # SVG units of one row below it
_SHIFT = re.compile(r"translate\((-?\d+), (-?\d+)\)")


class Picture(NamedTuple):
    """What a picture shows."""

    prefix: str
    name: str  # for screen readers
    score: Score


class FinishedSvg(NamedTuple):
    """HTML for a page: an SVG for each measure, and shared definitions."""

    text: str
    sizes: Sizes


def finished_svg(line: str, picture: Picture) -> FinishedSvg:
    """Return one line of music as HTML for a page, split at its bar lines."""
    root = fromstring(_NAMESPACES.sub("", line))  # noqa: S314 - Verovio's own output
    _name_glyphs(root, f"{picture.prefix}-0")
    names = _note_names(picture.score)
    system = next(_groups(root, "system"))
    _drop_placeholders(system)
    _drop_numbers(system)
    for measure in _groups(system, "measure"):
        _set_counts(measure, picture.score)
    add_hands(system, picture.score)
    frame_differing(system)
    numbers = [
        (measure.span.number, not measure.is_second_part) for measure in picture.score.measures
    ]
    bottom = _bottom(root, system, picture.score)
    (head, *boxes), sizes = cut_at_bar_lines(system, numbers, bottom, picture.prefix)
    shapes = Element("svg", {"class": "shapes", "width": "0", "height": "0"})
    definitions = SubElement(shapes, "defs")
    definitions.extend([*root.iterfind("defs/g"), head])
    music = Element("div", {"class": _classes(sizes), "role": "img", "aria-label": picture.name})
    music.set("data-picture", picture.prefix)
    music.extend([shapes, *boxes])
    for element in music.iter():
        _tidy(element, names, picture.prefix)
    _drop_empty(music)
    return FinishedSvg(tostring(music, encoding="unicode"), sizes)


def _classes(sizes: Sizes) -> str:
    """Return the classes that give music.css the widths of a picture's parts."""
    widest = ceil(sizes.head + max(sizes.measures))
    return f"music head-{round(2 * sizes.head)} widest-{min(_WIDEST, max(_NARROWEST, widest))}"


def _bottom(root: Element, system: Element, score: Score) -> int:
    """Return the y of a picture's lower edge: below the rows under a tab, if it has one."""
    lines = staff_lines(system)
    if score.tab and lines is not None:
        return lines.bottom + _BELOW_TAB + FINGER_ROW * (rows_below(score) - 1)
    drawing = root.find("svg")
    margin = next((group for group in root.iter("g") if group.get("class") == "page-margin"), None)
    shift = _SHIFT.search("" if margin is None else margin.get("transform", ""))
    height = 0 if drawing is None else int(drawing.attrib["viewBox"].split()[3])
    return height - int(shift[2] if shift else 0)


def _note_names(score: Score) -> set[str]:
    voices = [score.staff, *([score.tab] if score.tab else [])]
    ids = [names for voice in voices for names in voice.ids.values()]
    graces = [names for voice in voices for names in voice.grace_ids.values()]
    return {name for names in (*ids, *graces) for name in names}


def _groups(root: Element, kind: str) -> Iterator[Element]:
    return (group for group in root.iter("g") if group.get("data-class") == kind)


def _drop_placeholders(root: Element) -> None:
    """Remove the dots that Verovio draws for elements without a shape, such as sections."""
    for group in root.iter("g"):
        if "placeholder" in group.get("class", "").split():
            for dot in group.findall("ellipse"):
                group.remove(dot)


def _drop_numbers(root: Element) -> None:
    """Remove the number that Verovio puts before a line; ``svg_measures.py`` writes them all."""
    for parent in list(root.iter("g")):
        for group in parent.findall("g"):
            if group.get("data-class") == "mNum":
                parent.remove(group)


def _name_glyphs(root: Element, prefix: str) -> None:
    """Make glyph ids unique to one picture of the page."""
    names: dict[str, str] = {}
    for shape in root.iterfind("defs/g"):
        old = shape.attrib["id"]
        names[f"#{old}"] = f"{prefix}-{old.partition('-')[0]}"
        shape.set("id", names[f"#{old}"])
    for use in root.iter("use"):
        use.set("href", f"#{names[use.attrib['href']]}")


def _set_counts(measure: Element, score: Score) -> None:
    lines = staff_lines(measure)
    if lines is not None:
        add_counts(measure, lines.bottom, score)


def _tidy(element: Element, names: set[str], prefix: str) -> None:
    """Keep only ids of notes, and classes that are used."""
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
