"""Reduce a note of a MusicXML document to what sounds, for music21."""

from xml.etree.ElementTree import Element, SubElement

from melodex.parsing.score.note_hands import UNKNOWN_HANDS, as_colour, hands_of

# Children of a note that affect the sound. Stems, beams, heads and other elements of appearance
# take half of music21's time.
_OF_A_NOTE = frozenset({
    "grace", "chord", "pitch", "rest", "unpitched", "duration", "tie", "voice", "type", "dot",
    "accidental", "time-modification", "instrument",
})  # fmt: skip


def sounding_note(note: Element, staff: str) -> Element:
    """Return a note without elements that only affect appearance.

    The first of several verses is kept. Fret, string and fingering are encoded in the note's
    colour.

    Parameters
    ----------
    note : Element
        A note of a score-partwise document.
    staff : str
        The number of the staff on which to read it; empty if none is stated.
    """
    slim = Element("note")
    slim.extend(child for child in note if child.tag in _OF_A_NOTE)
    if staff:
        SubElement(slim, "staff").text = staff
    hands = hands_of(note)
    if hands != UNKNOWN_HANDS:
        slim.set("color", as_colour(hands))
    words = note.find("lyric")
    if words is not None:
        slim.append(words)
    return slim
