"""Prepare a MusicXML document for music21."""

import re
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from xml.etree.ElementTree import Element, SubElement

from melodex.parsing.score.crossing_voices import staves_followed
from melodex.parsing.score.sounding_note import sounding_note

# Elements that only affect appearance. They slow music21 10.5 down and mislead it: it lengthens a
# measure if words or dynamics follow its end (measure 0 of Mozart's K. 80, fourth movement, in
# music21's corpus), and reads cue notes as notes.
_FOR_THE_EYE = frozenset({"credit", "defaults"})
_FOR_THE_EYE_IN_A_MEASURE = frozenset({"print", "figured-bass", "grouping", "listening"})

MOST_MEASURES = 10_000  # music21 reads them in about four seconds
# No music exceeds these, and music21 counts up to them one by one.
_LARGEST = {
    "fifths": 14, "key-alter": 4, "alter": 8, "octave": 20,
    "chromatic": 127, "diatonic": 127, "octave-change": 10,
    "beats": 99, "beat-type": 128, "divisions": 1_000_000, "duration": 100_000_000,
    "actual-notes": 1000, "normal-notes": 1000, "root-alter": 8, "bass-alter": 8,
    "degree-value": 30, "degree-alter": 8, "staves": 100,
    "multiple-rest": MOST_MEASURES,
}  # fmt: skip
_NUMBER = re.compile(r"[+-]?\d{1,9}(\.\d*)?")
_NO_MEASURE_NUMBER = re.compile(r"\d{7}")
_TEMPO = re.compile(r"(?=.*[1-9])\d{1,4}(\.\d{1,9})?", re.ASCII)  # beats a minute


def partwise(root: Element) -> Element:
    """Return a MusicXML score with measures inside parts, also if written the other way round.

    Source
    ------
    MusicXML 4.0: score-partwise and score-timewise documents contain the same data.
    """
    if root.tag != "score-timewise":
        return root
    turned = Element("score-partwise", root.attrib)
    parts: dict[str, Element] = {}
    for child in root:
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in child.findall("part"):
            part_id = part.get("id", "")
            measure = Element("measure", child.attrib)
            measure.extend(part)
            parts.setdefault(part_id, Element("part", id=part_id)).append(measure)
    turned.extend(parts.values())
    return turned


def flaw_in(score: Element) -> str:
    """Return a flaw of a score-partwise document that music21 would not report; "" if none.

    music21 10.5 reads a pitch without a step as middle C, and hangs at a key of a million sharps.
    """
    for part in score.findall("part"):
        measures = part.findall("measure")
        if len(measures) > MOST_MEASURES:
            return f"it has {len(measures):,} measures, more than {MOST_MEASURES:,}"
        for measure in measures:
            for element in measure.iter():
                if flaw := _flaw_of(element):
                    return f"measure {measure.get('number', '')} has {flaw}"
    return ""


def _flaw_of(element: Element) -> str:
    text = (element.text or "").strip()
    largest = _LARGEST.get(element.tag)
    if largest is not None and not all(_is_at_most(largest, term) for term in text.split("+")):
        return f"{element.tag} {text[:20]!r}, which is not valid"
    if element.tag == "pitch" and not _is_whole(element):
        return "a note without a step from A to G, or without an octave"
    return ""


def _is_at_most(largest: int, text: str) -> bool:
    return not text or (_NUMBER.fullmatch(text.strip()) and abs(float(text)) <= largest) is True


def _is_whole(pitch: Element) -> bool:
    step, octave = pitch.findtext("step") or "", pitch.findtext("octave") or ""
    return step.strip() in set("ABCDEFG") and octave.strip().isdecimal()


def without_appearance(score: Element, parts: Sequence[Element]) -> Element:
    """Return some parts of a score-partwise document, without what only affects appearance.

    Moving a voice between staves counts as appearance: each voice is put on one staff.
    """
    slim = Element(score.tag, score.attrib)
    for child in score:
        if child.tag == "part" and child in parts:
            part = Element("part", child.attrib)
            measures = child.findall("measure")
            staves = staves_followed(measures)
            part.extend(_sounding_measure(measure, staves) for measure in measures)
            slim.append(part)
        elif child.tag == "part-list":
            part_list = SubElement(slim, child.tag)
            part_list.extend(child.findall("score-part"))  # groups would refer to parts left out
        elif child.tag != "part" and child.tag not in _FOR_THE_EYE:
            slim.append(child)
    return slim


def _sounding_measure(measure: Element, staves: Mapping[Element, str]) -> Element:
    number = measure.get("number", "")
    slim = Element("measure", {} if _NO_MEASURE_NUMBER.search(number) else {"number": number})
    for child in measure:
        if child.tag == "direction":
            slim.extend(_tempo_of(child))
        elif child.tag == "note" and child.find("cue") is not None:
            slim.extend(_rest_for(child))
        elif child.tag == "note":
            slim.append(sounding_note(child, staves.get(child) or child.findtext("staff") or ""))
        elif child.tag == "sound" and not _states_tempo(child):
            continue
        elif child.tag == "attributes":
            slim.append(_with_steps(child))
        elif child.tag not in _FOR_THE_EYE_IN_A_MEASURE and not _has_no_duration(child):
            slim.append(child)
    return slim


def _tempo_of(direction: Element) -> Iterator[Element]:
    """Reduce a direction to the tempo that it states, if that is plausible."""
    tempo = Element("direction")
    tempo.extend(
        kind
        for kind in direction.findall("direction-type")
        if _TEMPO.fullmatch((kind.findtext("metronome/per-minute") or "").strip())
    )
    tempo.extend(sound for sound in direction.findall("sound") if _states_tempo(sound))
    if len(tempo):
        yield tempo


def _states_tempo(sound: Element) -> bool:
    return _TEMPO.fullmatch(sound.get("tempo", "").strip()) is not None


def _rest_for(cue: Element) -> Iterator[Element]:
    """Replace a cue note by a rest of the same duration."""
    duration = cue.find("duration")
    if duration is not None and cue.find("chord") is None:
        silence = Element("forward")
        silence.append(duration)
        yield silence


def _with_steps(attributes: Element) -> Element:
    """Add the diatonic steps that a transposition may omit.

    music21 10.5 fails at an octave change without them.
    """
    completed = deepcopy(attributes)
    for transpose in completed.findall("transpose"):
        half_steps = (transpose.findtext("chromatic") or "").strip()
        if transpose.find("diatonic") is None and re.fullmatch(r"-?\d{1,3}", half_steps):
            SubElement(transpose, "diatonic").text = str(round(int(half_steps) * 7 / 12))
    return completed


def _has_no_duration(element: Element) -> bool:
    """Return whether an element moves forward by no time at all.

    music21 10.5 reads that as a quarter rest (Haydn's op. 1 no. 1, third movement, measure 3).
    """
    return element.tag == "forward" and (element.findtext("duration") or "").strip("0. ") == ""


def has_jumps(score: Element) -> bool:
    """Return whether the score has a da capo or dal segno."""
    return any(sound.get("dacapo") or sound.get("dalsegno") for sound in score.iter("sound"))
