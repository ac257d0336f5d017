"""What tablature in MusicXML sounds: pitch = open string + fret + capo.

Two ways to count meet on the banjo's short fifth string. MusicXML counts a fret from the string's
own open sound; banjo tab counts it as the neck does, where the short string begins at fret 5
(fret 7 is two half-steps above open). Files have either, so the pitches that stand beside the
frets decide, by majority; where they say nothing, frets are taken to be counted as the neck does.
Frets are handed on as the neck counts them.
"""

from collections.abc import Sequence
from xml.etree.ElementTree import Element

from melodex.model.tuning import SHORT_STRING, SHORT_STRING_BEGINS
from melodex.parsing.melody_line import UNKNOWN_FRET
from melodex.parsing.written_score import WrittenNote

_PITCH_CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def stated_tuning(part: Element, staff_number: str) -> tuple[int, ...]:
    """Read the tuning of a tab staff, which music21 passes over.

    Parameters
    ----------
    part : Element
        A part of a MusicXML document.
    staff_number : str
        The staff's number in the part, from "1".

    Returns
    -------
    tuple of int
        MIDI pitch of the open strings, string 1 first, capo included; empty where none is stated.

    Source
    ------
    MusicXML 4.0: staff-tuning counts lines from the bottom; string 1 is the highest-pitched
    full-length string, drawn at the top; capo raises the open tuning by half-steps.
    """
    for details in part.iter("staff-details"):
        lines = details.findall("staff-tuning")
        if lines and details.get("number", staff_number) == staff_number:
            try:
                capo = _number(details, "capo")
                from_the_bottom = sorted(
                    (int(line.get("line", "")), _open_pitch(line)) for line in lines
                )
            except (KeyError, ValueError, OverflowError):
                return ()  # a tuning that makes no sense is none
            return tuple(pitch + capo for _, pitch in reversed(from_the_bottom))
    return ()


def _open_pitch(line: Element) -> int:
    step = (line.findtext("tuning-step") or "").strip()
    return (
        12 * (_number(line, "tuning-octave") + 1)
        + _PITCH_CLASSES[step]
        + _number(line, "tuning-alter")
    )


def _number(element: Element, tag: str) -> int:
    return round(float(element.findtext(tag) or 0))


def sound_tab(notes: Sequence[WrittenNote], tuning: tuple[int, ...]) -> list[WrittenNote]:
    """Set the pitch of notes to what their string and fret sound.

    Parameters
    ----------
    notes : sequence of WrittenNote
        The notes of a tab staff, with the pitches written beside the frets.
    tuning : tuple of int
        MIDI pitch of the open strings, string 1 first, capo included.

    Returns
    -------
    list of WrittenNote
        In the same order; a note without a fret, or on a string that the tuning does not have,
        keeps its pitch.
    """
    counts_as_neck = _counts_as_neck(notes, tuning)
    return [
        _sounded(note, tuning, counts_as_neck=counts_as_neck) if _is_fretted(note, tuning) else note
        for note in notes
    ]


def _is_fretted(note: WrittenNote, tuning: tuple[int, ...]) -> bool:
    return note.fret != UNKNOWN_FRET and 1 <= note.string <= len(tuning)


def has_short_string(tuning: tuple[int, ...]) -> bool:
    """Whether the fifth of five strings is tuned above the fourth, as on a banjo."""
    return len(tuning) == SHORT_STRING and tuning[4] > tuning[3]


def _counts_as_neck(notes: Sequence[WrittenNote], tuning: tuple[int, ...]) -> bool:
    """Return how the frets of the short string are counted."""
    if not has_short_string(tuning):
        return False
    votes = 0
    for note in notes:
        if note.string != SHORT_STRING or note.fret <= 0:
            continue
        if note.fret < SHORT_STRING_BEGINS:
            return False  # the neck has no such fret there
        above_open = (note.pitch - tuning[SHORT_STRING - 1]) % 12
        votes += above_open == (note.fret - SHORT_STRING_BEGINS) % 12
        votes -= above_open == note.fret % 12
    return votes >= 0


def _sounded(note: WrittenNote, tuning: tuple[int, ...], *, counts_as_neck: bool) -> WrittenNote:
    fret = above_open = note.fret
    if note.string == SHORT_STRING and has_short_string(tuning) and fret > 0:
        if counts_as_neck:
            above_open = fret - SHORT_STRING_BEGINS
        else:
            fret = above_open + SHORT_STRING_BEGINS
    return note._replace(pitch=tuning[note.string - 1] + above_open, fret=fret)
