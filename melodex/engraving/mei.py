"""Write a song, with its tab if it has one, as an MEI document.

Source: MEI 5.1, as read by Verovio: a tab staff has five lines, one for each string.
"""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element, SubElement, tostring

from melodex.engraving.mei_layers import (
    XML_ID,
    HeadMark,
    Voice,
    add_staff_layer,
    add_tab_layer,
    length_of,
)
from melodex.model.key import Key
from melodex.model.metre import Metre
from melodex.model.song import Song
from melodex.model.tuning import BanjoTuning, tuning_of_pitches
from melodex.notation.counting import counts_in
from melodex.notation.note_spelling import spelled
from melodex.notation.note_values import note_values
from melodex.notation.shown_chords import shown_chords
from melodex.notation.tab_measures import exact
from melodex.notation.written_measures import EngravedMeasure

COUNT = "count"  # class of words that count the beats
_ACCIDENTALS = {-2: "ff", -1: "f", 1: "s", 2: "x"}
# A melody with a lower mean pitch is written in a clef that sounds an octave lower, like the
# banjo's.
_LOW = 60
_MOST_ACCIDENTALS = 7  # in a key signature given as a number
_SHARPS, _FLATS = "FCGDAEB", "BEADGCF"


class Bracket(NamedTuple):
    """A bracket that marks a phrase above the staff."""

    kinds: str  # CSS classes
    letter: str
    first: str  # XML ids of its first and last notes
    last: str


class Score(NamedTuple):
    """Everything that a document shows."""

    song: Song
    measures: Sequence[EngravedMeasure]
    staff: Voice
    tab: Voice | None
    tuning: BanjoTuning | None  # the tab's
    marks: Mapping[int, HeadMark]  # by index of the note in the melody
    tab_marks: Mapping[tuple[int, int], HeadMark]  # by indices of sound and head
    is_counted: bool = False  # whether to count the beats in a line below the tab


def mei_document(score: Score) -> Element:
    """Return a document without brackets."""
    root = Element("mei", {"xmlns": "http://www.music-encoding.org/ns/mei", "meiversion": "5.1"})
    description = SubElement(SubElement(root, "meiHead"), "fileDesc")
    SubElement(SubElement(description, "titleStmt"), "title").text = "music"
    SubElement(description, "pubStmt")
    body = SubElement(SubElement(root, "music"), "body")
    music = SubElement(SubElement(body, "mdiv"), "score")
    music.append(_score_definition(score))
    section = SubElement(music, "section")
    metre, holder = score.measures[0].metre, section
    endings = dict(_endings(score))
    for place, measure in enumerate(score.measures):
        if measure.metre != metre:
            metre = measure.metre
            section.append(_metre_change(score, metre))
        ending = endings.get(place)
        if ending is not None:
            holder = SubElement(section, "ending", {"n": ending}) if ending else section
        holder.append(_measure(score, place, measure))
    return root


def add_bracket(root: Element, bracket: Bracket) -> None:
    """Draw a bracket with a letter over a phrase, in the measure where it begins."""
    measure = next(
        measure
        for measure in root.iter("measure")
        if any(note.get(XML_ID) == bracket.first for note in measure.iter("note"))
    )
    place = {"startid": f"#{bracket.first}", "staff": "1", "place": "above"}
    span = place | {"endid": f"#{bracket.last}", "func": "analytical", "lform": "solid"}
    SubElement(measure, "bracketSpan", span | {"type": f"bracket {bracket.kinds}"})
    letter = SubElement(measure, "dir", place | {"type": f"letter {bracket.kinds}"})
    SubElement(letter, "rend", {"fontweight": "bold", "fontstyle": "normal"}).text = bracket.letter


def mei_text(root: Element) -> str:
    """Return a document as text."""
    return tostring(root, encoding="unicode")


def _score_definition(score: Score) -> Element:
    definition = Element("scoreDef")
    group = SubElement(definition, "staffGrp", {"bar.thru": "true"})
    staff = SubElement(group, "staffDef", {"n": "1", "lines": "5"})
    clef = SubElement(staff, "clef", {"shape": "G", "line": "2"})
    if _is_for_banjo(score) or _is_low(score.song):
        clef.attrib.update({"dis": "8", "dis.place": "below"})
    staff.append(_key_signature(score.song.key))
    _add_metre(staff, score.measures[0].metre, is_visible=True)
    if score.tuning is not None:
        tab = SubElement(group, "staffDef", {"n": "2", "lines": "5"})
        tab.set("notationtype", "tab.guitar")
        _add_tuning(tab, score.tuning)
        _add_metre(tab, score.measures[0].metre, is_visible=False)
    return definition


def _is_for_banjo(score: Score) -> bool:
    """Return whether the staff is a banjo's, which is written an octave above its sound.

    Common practice, no source.
    """
    return score.tuning is not None or tuning_of_pitches(score.song.tuning) is not None


def _is_low(song: Song) -> bool:
    pitches = song.melody.pitches
    return len(pitches) > 0 and float(pitches.mean()) < _LOW


def _key_signature(key: Key | None) -> Element:
    signature = key.signature if key else ()
    usual = {("s", len(signature)): [(letter, 1) for letter in _SHARPS[: len(signature)]]}
    usual["f", len(signature)] = [(letter, -1) for letter in _FLATS[: len(signature)]]
    for (sign, count), letters in usual.items():
        if count <= _MOST_ACCIDENTALS and set(letters) == set(signature):
            return Element("keySig", {"sig": f"{count}{sign}" if count else "0"})
    element = Element("keySig")
    for letter, half_steps in signature:
        if half_steps in _ACCIDENTALS:
            SubElement(
                element, "keyAccid", {"pname": letter.lower(), "accid": _ACCIDENTALS[half_steps]}
            )
    return element


def _add_metre(parent: Element, metre: Metre, *, is_visible: bool) -> None:
    if metre.is_free:
        return
    count = "+".join(map(str, metre.groups)) or str(metre.numerator)
    sign = SubElement(parent, "meterSig", {"count": count, "unit": str(metre.denominator)})
    if not is_visible:
        sign.set("visible", "false")


def _metre_change(score: Score, metre: Metre) -> Element:
    definition = Element("scoreDef")
    group = SubElement(definition, "staffGrp")
    for number in range(1, 2 + (score.tab is not None)):
        staff = SubElement(group, "staffDef", {"n": str(number)})
        _add_metre(staff, metre, is_visible=number == 1)
    return definition


def _add_tuning(tab: Element, tuning: BanjoTuning) -> None:
    element = SubElement(tab, "tuning")
    for string, pitch in enumerate(tuning.open_strings, start=1):
        name = spelled(pitch)
        course = SubElement(element, "course", {"n": str(string), "pname": name.letter.lower()})
        course.set("oct", str(name.octave))
        if name.half_steps:
            course.set("accid", _ACCIDENTALS[name.half_steps])


def _endings(score: Score) -> Iterator[tuple[int, str]]:
    """Yield the measures at which an ending begins, with its number, or ends, with ""."""
    marked = {exact(line.onset): line.ending for line in score.song.bar_lines}
    for place, measure in enumerate(score.measures):
        if measure.span.onset in marked:
            yield place, marked[measure.span.onset]


def _measure(score: Score, place: int, measure: EngravedMeasure) -> Element:
    element = Element("measure", {XML_ID: f"measure{place}"})
    if not measure.is_second_part:
        element.set("n", str(measure.span.number))
    if measure.beats.length != measure.span.length:
        element.set("metcon", "false")
    element.attrib.update(_bar_lines(score.song, measure, is_last=measure is score.measures[-1]))
    layer = SubElement(SubElement(element, "staff", {"n": "1"}), "layer", {"n": "1"})
    add_staff_layer(
        layer, score.staff, score.staff.rhythms[place], measure, score.song.key, score.marks
    )
    if score.tab is not None:
        layer = SubElement(SubElement(element, "staff", {"n": "2"}), "layer", {"n": "1"})
        add_tab_layer(layer, score.tab, score.tab.rhythms[place], score.tab_marks)
    for chord in shown_chords(score.song, score.tuning.capo if score.tuning else 0):
        onset = exact(chord.onset)
        if measure.span.onset <= onset < measure.span.end:
            symbol = SubElement(element, "harm", {"staff": "1", "place": "above"})
            symbol.set("tstamp", _time_stamp(onset - measure.span.onset, measure.metre))
            symbol.text = chord.text
    if score.is_counted:
        _add_counts(element, measure)
    return element


def _add_counts(element: Element, measure: EngravedMeasure) -> None:
    """Add the count of a measure's beats, and leave room for each word even under a held note."""
    counts = list(counts_in(measure))
    layer = SubElement(element.findall("staff")[-1], "layer", {"n": "2"})
    places = [Fraction(0), *(count.place for count in counts), measure.span.length]
    for begin, end in pairwise(places):
        for value in note_values(end - begin):
            SubElement(layer, "space", length_of(value))
    for count in counts:
        word = SubElement(element, "dir", {"staff": "2", "place": "below", "type": COUNT})
        word.set("tstamp", _time_stamp(count.place, measure.metre))
        # Verovio determines only the position, so the font is tiny: svg_hands.py moves it below the
        # fingers.
        SubElement(word, "rend", {"fontstyle": "normal", "fontsize": "1pt"}).text = count.word


def _time_stamp(quarter_notes: Fraction, metre: Metre) -> str:
    return f"{float(1 + quarter_notes * metre.denominator / 4):g}"


def _bar_lines(song: Song, measure: EngravedMeasure, *, is_last: bool) -> dict[str, str]:
    before = {line.style for line in song.bar_lines if exact(line.onset) == measure.span.onset}
    after = {line.style for line in song.bar_lines if exact(line.onset) == measure.span.end}
    lines: dict[str, str] = {}
    if before & {"repeat start", "repeat both"}:
        lines["left"] = "rptstart"
    if after & {"repeat end", "repeat both"}:
        lines["right"] = "rptend"
    elif "final" in after or (is_last and measure.span.end >= song.sections.max(initial=0.0)):
        lines["right"] = "end"
    elif "double" in after:
        lines["right"] = "dbl"
    return lines
