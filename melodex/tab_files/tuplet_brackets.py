"""Brackets over the tuplets of a MusicXML measure.

Source: MusicXML 4.0, "tuplet": it starts and stops in the notations of the first and last note.
"""

from collections.abc import Iterable
from fractions import Fraction
from xml.etree.ElementTree import Element

from melodex.notation.written_rhythm import is_halved


def add_tuplet_brackets(notes: Iterable[Element], divisions: int) -> None:
    """Add brackets around notes and rests that only together have a binary length.

    Parameters
    ----------
    notes : iterable of Element
        The notes of one staff in a measure; those with a time modification are in tuplets.
    divisions : int
        Divisions of a quarter note.
    """
    time = Fraction(0)
    group: list[Element] = []
    ratio = ""
    for note in notes:
        if note.find("chord") is not None:
            continue
        here = _ratio(note)
        if group and here != ratio:
            _bracket(group)
            group = []
        time += Fraction(note.findtext("duration") or 0) / divisions
        if here:
            ratio = here
            group.append(note)
            if is_halved(time):
                _bracket(group)
                group = []
    if group:
        _bracket(group)


def _ratio(note: Element) -> str:
    """Return "3:2" for a triplet, and "" for a note outside of tuplets."""
    modification = note.find("time-modification")
    return "" if modification is None else ":".join(modification.itertext())


def _bracket(group: list[Element]) -> None:
    for note, kind in ((group[0], "start"), (group[-1], "stop")):
        notations = note.find("notations")
        if notations is None:
            notations = Element("notations")
            lyric = note.find("lyric")
            note.insert(len(note) if lyric is None else list(note).index(lyric), notations)
        tied = len(notations.findall("tied"))
        look = {"bracket": "yes"} if kind == "start" else {}
        notations.insert(tied, Element("tuplet", {"type": kind, **look}))
