"""How others read the MEI that we write: Verovio's own clock, and music21."""

from functools import cache
from xml.etree.ElementTree import Element

import verovio
from defusedxml.ElementTree import fromstring  # type: ignore[import-untyped]

from melodex.engraving.engraved_score import score_of
from melodex.engraving.mei import Score, mei_document, mei_text
from melodex.engraving.sounding import SoundingNote
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.notation.written_measures import Head


def mei_of(song: Song, tab: Tab | None = None) -> tuple[Score, str]:
    """Lay out a song and write its MEI."""
    score = score_of(song, tab)
    return score, mei_text(mei_document(score))


def timed_by_verovio(mei: str) -> dict[str, tuple[float, int]]:
    """Onset in quarter notes and MIDI pitch of each note by its id; repeats are not unfolded."""
    toolkit = _toolkit()
    assert toolkit.loadData(mei)
    onsets = {
        name: event["qstamp"] for event in toolkit.renderToTimemap() for name in event.get("on", [])
    }
    return {
        name: (onset, toolkit.getMIDIValuesForElement(name)["pitch"])
        for name, onset in onsets.items()
    }


def ids_in(svg: str) -> list[str]:
    """All ids of a picture."""
    root: Element = fromstring(f"<all>{svg}</all>")
    return [element.attrib["id"] for element in root.iter() if "id" in element.attrib]


def sounding_of(score: Score) -> list[tuple[float, int, str]]:
    """Onset, pitch and the id of its first head, for every note of staff and tab as written."""
    begin = score.measures[0].span.onset
    return [
        (float(sound.onset - begin), _pitch(score, head), voice.ids[number, place][0])
        for voice in [score.staff, *([score.tab] if score.tab else [])]
        for number, sound in enumerate(voice.sounds)
        for place, head in enumerate(sound.heads)
    ]


def _pitch(score: Score, head: Head) -> int:
    """Count the short string's frets from its own nut, as Verovio does."""
    if head.on_string is None or score.tuning is None:
        return head.pitch
    return score.tuning.open_strings[head.on_string.string - 1] + head.on_string.fret


def heard(notes: tuple[SoundingNote, ...]) -> list[tuple[float, int]]:
    """Onsets and pitches, in order, without grace notes."""
    return [(round(note.onset_beats, 4), note.pitch) for note in notes if not note.before_beats]


@cache
def _toolkit() -> verovio.toolkit:
    toolkit = verovio.toolkit()
    toolkit.setOptions({"expandNever": True, "pageHeight": 60000, "logLevel": "off"})
    return toolkit
