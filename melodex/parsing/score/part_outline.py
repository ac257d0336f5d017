"""Facts about the parts of a MusicXML document, found before music21 reads them.

Reading a part in music21 takes longer than everything else together, so only the parts that are
needed are passed to it.
"""

from collections.abc import Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element

from melodex.parsing.part_choice import choice_remarks, instrument_of, melody_part


class PartOutline(NamedTuple):
    """One part of a score-partwise document."""

    element: Element
    name: str
    is_tab: bool  # tablature: it has a tab clef, and notes that state a fret
    has_chords: bool
    has_tempo: bool


def outlines_of(score: Element) -> list[PartOutline]:
    """List the parts of a score-partwise document that have a note with pitch and duration."""
    names = {
        each.get("id", ""): (each.findtext("part-name") or "").strip()
        for each in score.iterfind("part-list/score-part")
    }
    return [
        PartOutline(
            part,
            names.get(part.get("id", ""), ""),
            is_tab=_is_tab(part),
            has_chords=part.find("measure/harmony") is not None,
            has_tempo=_has_tempo(part),
        )
        for part in score.findall("part")
        if any(_sounds(note) for note in part.iterfind("measure/note"))
    ]


def _sounds(note: Element) -> bool:
    is_pitched = note.find("pitch") is not None and note.find("duration") is not None
    return is_pitched and note.find("cue") is None and note.find("grace") is None


def _is_tab(part: Element) -> bool:
    signs = (sign.text or "" for sign in part.iterfind("measure/attributes/clef/sign"))
    has_clef = any(sign.strip() == "TAB" for sign in signs)
    return has_clef and part.find("measure/note/notations/technical/fret") is not None


def _has_tempo(part: Element) -> bool:
    sounds = part.iterfind(".//sound")
    metronome = part.find("measure/direction/direction-type/metronome")
    return metronome is not None or any(sound.get("tempo") for sound in sounds)


def parts_needed(outlines: Sequence[PartOutline]) -> list[Element]:
    """Return the parts of which something is used.

    They are the part with the melody, parts that may show the same music in notation beside the
    tab, and parts that may state chords or tempo if the melody part does not.

    Parameters
    ----------
    outlines : sequence of PartOutline, at least one
    """
    chosen = melody_part(outlines)
    return [
        part.element
        for part in outlines
        if part is chosen
        or (chosen.is_tab and instrument_of(part) == instrument_of(chosen))
        or (part.has_chords and not chosen.has_chords)
        or (part.has_tempo and not chosen.has_tempo)
    ]


def remarks_on_choice(outlines: Sequence[PartOutline]) -> list[str]:
    """Remark which part is read, not counting parts with the same music in notation."""
    chosen = melody_part(outlines)
    rivals = [
        part
        for part in outlines
        if part is chosen
        or part.is_tab
        or not chosen.is_tab
        or instrument_of(part) != instrument_of(chosen)
    ]
    place = next(place for place, part in enumerate(rivals) if part is chosen)
    return choice_remarks("part", [part.name for part in rivals], place)
