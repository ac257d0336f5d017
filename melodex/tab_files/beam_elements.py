"""Beams over the notes of a MusicXML measure.

Source: MusicXML 4.0, "beam": one for each level, starting with that of eighths.
"""

from collections.abc import Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element

from melodex.notation.note_values import NoteValue
from melodex.notation.written_measures import EngravedMeasure
from melodex.notation.written_rhythm import PLAIN, Piece, beamed

_LEVELS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}
_BEFORE = frozenset({
    "chord", "pitch", "rest", "duration", "tie", "voice", "type", "dot", "time-modification",
    "staff",
})  # fmt: skip


def add_beams(notes: Sequence[Element], divisions: int, measure: EngravedMeasure) -> None:
    """Join notes by beams according to the beats of their measure.

    Parameters
    ----------
    notes : sequence of Element
        The notes and rests of one staff in one measure; only the first note of a chord gets beams.
    divisions : int
        Divisions of a quarter note.
    """
    leading = [note for note in notes if note.find("chord") is None]
    pieces: list[Piece] = []
    time = measure.place
    for number, note in enumerate(leading):
        length = Fraction(note.findtext("duration") or 0) / divisions
        value = NoteValue(length, note.findtext("type") or "", 0, PLAIN)
        pieces.append(Piece(time, value, None if note.find("rest") is not None else number))
        time += length
    for group in beamed(pieces, measure.beats):
        if len(group) > 1:
            _join([leading[piece.sound] for piece in group if piece.sound is not None])


def _join(group: Sequence[Element]) -> None:
    levels = [_LEVELS[note.findtext("type") or ""] for note in group]
    for place, note in enumerate(group):
        before = levels[place - 1] if place else 0
        after = levels[place + 1] if place + 1 < len(levels) else 0
        at = sum(child.tag in _BEFORE for child in note)
        for level in range(levels[place], 0, -1):
            beam = Element("beam", number=str(level))
            beam.text = _kind(before >= level, after >= level, is_first=place == 0)
            note.insert(at, beam)


def _kind(goes_back: bool, goes_on: bool, *, is_first: bool) -> str:
    if goes_back and goes_on:
        return "continue"
    if goes_back or goes_on:
        return "end" if goes_back else "begin"
    return "forward hook" if is_first else "backward hook"
