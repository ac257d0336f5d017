"""A note of a MusicXML document, made ready for music21: what sounds and how, and nothing else."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element, SubElement

# Stems, beams, heads, and how all is drawn, are for the eye; half of music21's time goes there.
_OF_A_NOTE = frozenset({
    "grace", "chord", "pitch", "rest", "unpitched", "duration", "tie", "voice", "type", "dot",
    "accidental", "time-modification", "instrument",
})  # fmt: skip
_NOTATIONS = frozenset({"slide", "glissando"})
_TECHNICAL = frozenset({"string", "fret", "fingering", "hammer-on", "pull-off"})


def note_for_the_ear(note: Element, staff: str) -> Element:
    """Return a note without what is there for the eye only.

    Of several verses the first is kept. A finger that plucks becomes a fingering, since music21
    10.5 drops the letter of a pluck.

    Parameters
    ----------
    note : Element
        A note of a score-partwise document.
    staff : str
        The number of the staff that it is to be read on; empty where none is named.
    """
    slim = Element("note")
    slim.extend(child for child in note if child.tag in _OF_A_NOTE)
    if staff:
        SubElement(slim, "staff").text = staff
    for notations in note.findall("notations"):
        slim.extend(_notations_for_the_ear(notations))
    words = note.find("lyric")
    if words is not None:
        slim.append(words)
    return slim


def _notations_for_the_ear(notations: Element) -> Iterator[Element]:
    slim = Element("notations")
    slim.extend(child for child in notations if child.tag in _NOTATIONS)
    for technical in notations.findall("technical"):
        kept = SubElement(slim, "technical")
        for mark in technical:
            if mark.tag in _TECHNICAL:
                kept.append(mark)
            elif mark.tag == "pluck":
                SubElement(kept, "fingering").text = mark.text
    if len(slim):
        yield slim
