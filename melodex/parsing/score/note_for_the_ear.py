"""A note of a MusicXML document, made ready for music21: what sounds and how, and nothing else."""

from xml.etree.ElementTree import Element, SubElement

from melodex.parsing.score.note_hands import UNKNOWN_HANDS, as_colour, hands_of

# Stems, beams, heads, and how all is drawn, are for the eye; half of music21's time goes there.
_OF_A_NOTE = frozenset({
    "grace", "chord", "pitch", "rest", "unpitched", "duration", "tie", "voice", "type", "dot",
    "accidental", "time-modification", "instrument",
})  # fmt: skip


def note_for_the_ear(note: Element, staff: str) -> Element:
    """Return a note without what is there for the eye only.

    Of several verses the first is kept. What the hands do becomes the colour of the note.

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
    hands = hands_of(note)
    if hands != UNKNOWN_HANDS:
        slim.set("color", as_colour(hands))
    words = note.find("lyric")
    if words is not None:
        slim.append(words)
    return slim
