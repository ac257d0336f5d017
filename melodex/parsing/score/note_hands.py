"""How a note of a MusicXML document is played: string, fret, left hand, right-hand finger.

music21 10.5 keeps such marks only once for a whole chord and at most one of each kind, so they are
read from the document itself, and passed through music21 encoded as each note's colour.
"""

from typing import NamedTuple
from xml.etree.ElementTree import Element

from melodex.model.tablature import CHOKE
from melodex.parsing.melody_line import UNKNOWN_FRET, UNKNOWN_STRING

MOST = 99  # strings and frets; no instrument has more
# Right-hand fingers: p i m in scores for plucked strings, T I M in banjo tab. Common practice.
_FINGERS = {"p": "T", "t": "T", "i": "I", "m": "M"}
_MOVEMENTS = {
    "technical/hammer-on": "hammer-on",
    "technical/pull-off": "pull-off",
    "slide": "slide",
    "glissando": "slide",
}
_MELODY = "melody"
_BETWEEN = "/"


class NoteHands(NamedTuple):
    """How one note is played."""

    string: int = UNKNOWN_STRING
    fret: int = UNKNOWN_FRET
    left_hand: str = ""  # as in ``TabNote``
    finger: str = ""
    is_melody: bool = False  # inside a roll, as marked in melodex's own files


UNKNOWN_HANDS = NoteHands()


def hands_of(note: Element) -> NoteHands:
    """Return how a note of a score-partwise document is played; unknown without string and fret.

    Source
    ------
    MusicXML 4.0: a hammer-on, pull-off, slide or glissando starts at one note and stops at the note
    that it leads to; a bend belongs to its own note.
    """
    notations = note.findall("notations")
    string, fret = (_number(notations, tag) for tag in ("string", "fret"))
    if string is None or fret is None or not string:
        return UNKNOWN_HANDS
    return NoteHands(string, fret, _left_hand(notations), _finger(notations), _is_melody(notations))


def _number(notations: list[Element], tag: str) -> int | None:
    """Return the number that an element states; None if it is missing or invalid."""
    for notation in notations:
        text = (notation.findtext(f"technical/{tag}") or "").strip()
        if text.isdecimal() and len(text) <= len(str(MOST)):
            return int(text)
    return None


def _left_hand(notations: list[Element]) -> str:
    for notation in notations:
        for path, movement in _MOVEMENTS.items():
            if any(mark.get("type") == "stop" for mark in notation.findall(path)):
                return movement
    is_bent = any(notation.find("technical/bend") is not None for notation in notations)
    return CHOKE if is_bent else ""


def _finger(notations: list[Element]) -> str:
    """Return the right-hand finger; digits are fingers of the left hand."""
    marks = [
        mark.text or ""
        for notation in notations
        for tag in ("pluck", "fingering")
        for mark in notation.findall(f"technical/{tag}")
    ]
    return next(filter(None, (_FINGERS.get(mark.strip().lower(), "") for mark in marks)), "")


def _is_melody(notations: list[Element]) -> bool:
    marks = (notation.findtext("technical/other-technical") for notation in notations)
    return any((mark or "").strip() == _MELODY for mark in marks)


def as_colour(hands: NoteHands) -> str:
    """Encode how a note is played as one word, stored as its colour."""
    *others, is_melody = hands
    return _BETWEEN.join(map(str, (*others, _MELODY if is_melody else "")))


def from_colour(colour: str | None) -> NoteHands:
    """Decode the result of ``as_colour``; unknown for anything else."""
    string, *others = (colour or "").split(_BETWEEN)
    if len(others) != len(UNKNOWN_HANDS) - 1:
        return UNKNOWN_HANDS
    fret, left_hand, finger, melody = others
    return NoteHands(int(string), int(fret), left_hand, finger, melody == _MELODY)
