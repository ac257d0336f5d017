"""Attributes of a MusicXML measure: key, metre, clefs, tuning, tempo, bar lines."""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement

from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.model.tablature import Tab
from melodex.model.tuning import BanjoTuning
from melodex.notation.note_spelling import spelled
from melodex.notation.tab_measures import TabMeasure, exact, metre_at
from melodex.tab_files.tab_bars import (
    DIVIDING_IN_MUSICXML,
    ENDS,
    STARTS,
    TWICE,
    times_played,
    unmarked_repeat_starts,
)
from melodex.tab_files.xml_elements import NOTATION, TAB, with_text


def add_attributes(
    element: Element, tab: Tab, measure: TabMeasure, divisions: int, *, is_first: bool
) -> None:
    """Append the attributes of a measure: all of them for the first, later only a new metre.

    Parameters
    ----------
    divisions : int
        Divisions of a quarter note.
    """
    song = tab.song
    changes = {exact(change.onset) for change in song.metre_changes}
    if not is_first and measure.onset not in changes:
        return
    attributes = SubElement(element, "attributes")
    if is_first:
        with_text(attributes, "divisions", divisions)
        _add_key(attributes, song)
    _add_metre(attributes, metre_at(song, measure.onset))
    if is_first:
        _add_staves(attributes, tab.tuning)
        _add_tempo(element, song)


def _add_key(attributes: Element, song: Song) -> None:
    if song.key is None:
        return
    element = SubElement(attributes, "key")
    with_text(element, "fifths", sum(alteration for _, alteration in song.key.signature))
    if song.key.mode:
        with_text(element, "mode", song.key.mode)


def _add_tempo(element: Element, song: Song) -> None:
    if song.tempo:
        direction = SubElement(element, "direction", placement="above")
        mark = SubElement(SubElement(direction, "direction-type"), "metronome")
        with_text(mark, "beat-unit", "quarter")
        with_text(mark, "per-minute", f"{song.tempo:g}")
        SubElement(direction, "sound", tempo=f"{song.tempo:g}")


def _add_metre(attributes: Element, metre: Metre) -> None:
    time = SubElement(attributes, "time")
    if metre.is_free:
        SubElement(time, "senza-misura")
        return
    with_text(time, "beats", "+".join(map(str, metre.groups)) or metre.numerator)
    with_text(time, "beat-type", metre.denominator)


def _add_staves(attributes: Element, tuning: BanjoTuning) -> None:
    with_text(attributes, "staves", len((NOTATION, TAB)))
    clef = SubElement(attributes, "clef", number=str(NOTATION))
    with_text(clef, "sign", "G")
    with_text(clef, "line", 2)
    # Pitches are sounding pitches; the banjo is written an octave higher. Common practice, no
    # source.
    with_text(clef, "clef-octave-change", -1)
    clef = SubElement(attributes, "clef", number=str(TAB))
    with_text(clef, "sign", "TAB")
    with_text(clef, "line", 5)
    details = SubElement(attributes, "staff-details", number=str(TAB))
    with_text(details, "staff-lines", 5)
    for line, pitch in enumerate(reversed(tuning.open_strings), start=1):
        letter, half_steps, octave = spelled(pitch - tuning.capo)
        string = SubElement(details, "staff-tuning", line=str(line))
        with_text(string, "tuning-step", letter)
        if half_steps:
            with_text(string, "tuning-alter", half_steps)
        with_text(string, "tuning-octave", octave)
    if tuning.capo:
        with_text(details, "capo", tuning.capo)


def add_bar_line(
    element: Element, song: Song, measures: Sequence[TabMeasure], place: int, side: str
) -> None:
    """Append the bar line before or after a measure, unless it is a single thin one.

    If a repeat begins without a sign, it is stated for playback instead.

    Parameters
    ----------
    measures : sequence of WrittenMeasure
        All measures of the document.
    place : int
        The index of this measure among them.
    side : str
        "left" or "right".
    """
    measure = measures[place]
    onset = measure.onset if side == "left" else measure.end
    styles = {line.style for line in song.bar_lines if exact(line.onset) == onset}
    bar_line = Element("barline", location=side)
    if styles & {"double", "final"} and (side == "right" or onset == 0):
        with_text(bar_line, "bar-style", "light-heavy" if "final" in styles else "light-light")
    _add_ending(bar_line, song, measures, onset, side)
    if side == "left" and styles & STARTS:
        SubElement(bar_line, "repeat", direction="forward")
    if side == "right" and styles & ENDS:
        repeat = SubElement(bar_line, "repeat", direction="backward")
        times = times_played(song, onset)
        if times > TWICE:
            repeat.set("times", str(times))
    if len(bar_line):
        element.append(bar_line)
    # Source: MusicXML 4.0, element sound: forward-repeat, for a repeat that begins without a sign.
    if side == "left" and onset in unmarked_repeat_starts(song, DIVIDING_IN_MUSICXML):
        SubElement(element, "sound", {"forward-repeat": "yes"})


def _add_ending(
    bar_line: Element, song: Song, measures: Sequence[TabMeasure], onset: Fraction, side: str
) -> None:
    """Begin or end the bracket of an ending; it ends at the next marked bar line."""
    marked = [(exact(line.onset), line.ending) for line in song.bar_lines]
    for (begins, number), (closes, _) in pairwise([*marked, (measures[-1].end, "")]):
        if not number:
            continue
        if side == "left" and begins == onset:
            SubElement(bar_line, "ending", number=number, type="start")
        if side == "right" and closes == onset:
            SubElement(bar_line, "ending", number=number, type="stop")
