"""Elements of a MusicXML measure: notes with string and fret, rests, chord symbols.

Source: MusicXML 4.0; the order of elements within a note follows the schema.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement

from melodex.model.key import Key
from melodex.model.tablature import CHOKE, CHOKE_HALF_STEPS, TabNote
from melodex.notation.note_spelling import spelled
from melodex.notation.note_values import NoteValue

_ALTER = {"#": 1, "b": -1}
MELODY = "melody"  # marks a melody note inside a roll; MusicXML has no sign for it
_PLUCK = {"T": "p", "I": "i", "M": "m"}
_SIGN_OF_TOUCH = {"hammer-on": "H", "pull-off": "P"}
# Suffixes on lead sheets for MusicXML's kinds of chord. Common practice, no source.
_KIND_OF_SIGN = {
    "": "major", "m": "minor", "+": "augmented", "dim": "diminished", "7": "dominant",
    "maj7": "major-seventh", "m7": "minor-seventh", "6": "major-sixth", "m6": "minor-sixth",
    "m7b5": "half-diminished", "dim7": "diminished-seventh", "9": "dominant-ninth",
    "sus2": "suspended-second", "sus4": "suspended-fourth", "5": "power",
}  # fmt: skip


class Struck(NamedTuple):
    """A note ready to be written."""

    note: TabNote
    pitch: int
    # Left-hand techniques along the string that start or stop here: ("start", "hammer-on"),
    # ("stop", "slide").
    reached: tuple[tuple[str, str], ...]


class Tie(NamedTuple):
    """Whether a written note is tied to one before it, and to one after it."""

    stops: bool
    starts: bool


NOTATION, TAB = 1, 2  # staff numbers, top to bottom; each has one voice with the same number


class NotePosition(NamedTuple):
    """The position and length of a note or rest."""

    value: NoteValue
    divisions: int  # of a quarter note
    staff: int


def with_text(parent: Element, tag: str, text: object) -> Element:
    """Append and return an element with a text."""
    child = SubElement(parent, tag)
    child.text = str(text)
    return child


def rest_element(place: NotePosition) -> Element:
    """Return a rest."""
    rest = Element("note")
    SubElement(rest, "rest")
    _add_length(rest, place, NO_TIE)
    return rest


def note_elements(
    together: Sequence[Struck], place: NotePosition, tie: Tie, key: Key | None
) -> list[Element]:
    """Return notes that sound together, lowest first, in the order in which music21 lists strings.

    On the tab staff they state string, fret and fingering; in notation hammer-ons, pull-offs and
    slides are slurs.
    """
    elements: list[Element] = []
    for struck in sorted(together, key=lambda each: (each.pitch, -each.note.string)):
        element = Element("note")
        if elements:
            SubElement(element, "chord")
        _add_pitch(element, struck.pitch, key)
        _add_length(element, place, tie)
        if place.staff == TAB:
            _add_tab_notations(element, struck, tie)
        else:
            _add_slurs(element, struck, tie)
        elements.append(element)
    return elements


NO_TIE = Tie(stops=False, starts=False)


def _add_pitch(element: Element, midi_note: int, key: Key | None) -> None:
    letter, half_steps, octave = spelled(midi_note, key)
    pitch = SubElement(element, "pitch")
    with_text(pitch, "step", letter)
    if half_steps:
        with_text(pitch, "alter", half_steps)
    with_text(pitch, "octave", octave)


def _add_length(element: Element, place: NotePosition, tie: Tie) -> None:
    value = place.value
    with_text(element, "duration", value.length * place.divisions)
    for kind in _kinds_of(tie):
        SubElement(element, "tie", type=kind)
    with_text(element, "voice", place.staff)
    with_text(element, "type", value.name)
    for _ in range(value.dots):
        SubElement(element, "dot")
    actual, normal = value.tuplet
    if actual != normal:
        modification = SubElement(element, "time-modification")
        with_text(modification, "actual-notes", actual)
        with_text(modification, "normal-notes", normal)
    with_text(element, "staff", place.staff)


def _kinds_of(tie: Tie) -> list[str]:
    return ["stop"] * tie.stops + ["start"] * tie.starts


def _add_slurs(element: Element, struck: Struck, tie: Tie) -> None:
    """Add ties, and slurs between notes joined by the left hand."""
    notations = Element("notations")
    for kind in _kinds_of(tie):
        SubElement(notations, "tied", type=kind)
    for kind, _ in () if tie.stops else struck.reached:
        SubElement(notations, "slur", type=kind, number=str(struck.note.string))
    if len(notations):
        element.append(notations)


def _add_tab_notations(element: Element, struck: Struck, tie: Tie) -> None:
    """Add string and fret, and fingering in separate notations.

    Verovio 6.4 treats a pluck or a hammer-on as an articulation, which it cannot place on tab; it
    reads only the first notations.
    """
    notations = SubElement(element, "notations")
    for kind in _kinds_of(tie):
        SubElement(notations, "tied", type=kind)
    reached = () if tie.stops else struck.reached
    number = str(struck.note.string)  # pairs a start with its stop, also within chords
    for kind, movement in reached:
        if movement == "slide":
            SubElement(notations, "slide", type=kind, number=number).set("line-type", "solid")
    place = SubElement(notations, "technical")
    with_text(place, "string", struck.note.string)
    with_text(place, "fret", struck.note.fret)
    hands = None if tie.stops else _hands(struck)
    if hands is not None and len(hands):
        SubElement(element, "notations").append(hands)


def _hands(struck: Struck) -> Element:
    hands = Element("technical")
    for kind, movement in struck.reached:
        if movement in _SIGN_OF_TOUCH:
            mark = SubElement(hands, movement, type=kind, number=str(struck.note.string))
            mark.text = _SIGN_OF_TOUCH[movement] if kind == "start" else None
    if struck.note.left_hand == CHOKE:
        with_text(SubElement(hands, "bend"), "bend-alter", CHOKE_HALF_STEPS)
    if struck.note.finger:
        with_text(hands, "pluck", _PLUCK[struck.note.finger])
    if struck.note.is_melody:
        with_text(hands, "other-technical", MELODY)
    return hands


def harmony_element(text: str, offset: Fraction) -> Element:
    """Return a chord symbol ("D7", "Am/G"); an unknown kind is written as text."""
    harmony = Element("harmony")
    symbol, _, bass = text.partition("/")
    if symbol.startswith(tuple("ABCDEFG")):
        sign = _add_step(harmony, "root", symbol)
        with_text(harmony, "kind", _KIND_OF_SIGN.get(sign, "other")).set("text", sign)
    else:  # "N.C.": the schema still requires a root
        _add_step(harmony, "root", "C")
        with_text(harmony, "kind", "none").set("text", text)
    if bass.startswith(tuple("ABCDEFG")):
        _add_step(harmony, "bass", bass)
    if offset:
        with_text(harmony, "offset", offset)
    return harmony


def _add_step(harmony: Element, role: str, symbol: str) -> str:
    """Append root or bass; return the rest of the symbol."""
    step, rest = symbol[0], symbol[1:]
    element = SubElement(harmony, role)
    with_text(element, f"{role}-step", step)
    if rest[:1] in _ALTER:
        with_text(element, f"{role}-alter", _ALTER[rest[0]])
        rest = rest[1:]
    return rest
