"""Tab as a MusicXML 4.0 score: one tab staff of five lines.

Frets of the short string are numbered as the neck is, which `melodex add` understands. Pitches and
chords are as they sound; a capo is stated beside the tuning of the strings without it, and chord
names are not those of the shapes behind it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby, pairwise
from math import lcm
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from melodex.model.metre import Metre
from melodex.model.tablature import Tab
from melodex.model.tuning import BanjoTuning
from melodex.report.aligned_text import note_name
from melodex.report.note_values import NoteValue, note_values
from melodex.report.tab_measures import WrittenMeasure, exact, measures_of
from melodex.report.tuplet_brackets import add_tuplet_brackets
from melodex.report.xml_elements import (
    Struck,
    Tie,
    harmony_element,
    note_elements,
    rest_element,
    with_text,
)


def tab_musicxml(tab: Tab, measures: tuple[int, int] | None = None) -> bytes:
    """Write a tab as a MusicXML document in UTF-8.

    Parameters
    ----------
    measures : (int, int) or None
        First and last number as written; None for all.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    chosen = measures_of(tab, measures)
    root = Element("score-partwise", version="4.0")
    with_text(SubElement(root, "work"), "work-title", tab.song.title)
    for caution in tab.cautions:
        with_text(SubElement(root, "credit", page="1"), "credit-words", caution)
    part_list = SubElement(root, "part-list")
    with_text(SubElement(part_list, "score-part", id="P1"), "part-name", "Banjo")
    part = SubElement(root, "part", id="P1")
    writer = _Writer(tab, chosen)
    part.extend(writer.measure_elements())
    indent(root)
    document: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return document + b"\n"


@dataclass(frozen=True, slots=True)
class _Sound:
    """Notes that begin together, or a rest, or a part of them; times in quarter notes."""

    onset: Fraction
    end: Fraction
    together: tuple[Struck, ...]
    whole: tuple[Fraction, Fraction]  # from where to where they sound


class _Writer:
    """One document: its notes laid out in time, and its division of the quarter note."""

    def __init__(self, tab: Tab, measures: Sequence[WrittenMeasure]) -> None:
        self._tab = tab
        self._measures = measures
        self._sounds = _sounds(tab, measures)
        self._divisions = lcm(
            *(
                value.length.denominator
                for measure in measures
                for sound in self._within(measure)
                for value in note_values(sound.end - sound.onset)
            ),
            *(measure.onset.denominator for measure in measures),
        )

    def measure_elements(self) -> Iterator[Element]:
        """Write the measures."""
        numbers: set[int] = set()
        for place, measure in enumerate(self._measures):
            is_second_part = measure.number in numbers  # of a measure that a repeat divides
            name = f"{measure.number}{'a' if is_second_part else ''}"
            element = Element("measure", number=name)
            if is_second_part or not measure.number:
                element.set("implicit", "yes")
            numbers.add(measure.number)
            self._add_bar_line(element, measure, "left")
            self._add_attributes(element, measure, is_first=place == 0)
            self._add_music(element, measure)
            add_tuplet_brackets(element, self._divisions)
            self._add_bar_line(element, measure, "right")
            yield element

    def _within(self, measure: WrittenMeasure) -> Iterator[_Sound]:
        """Yield what sounds in a measure, cut at its bar lines, with the rests between."""
        reached = measure.onset
        for sound in self._sounds:
            onset, end = max(sound.onset, measure.onset), min(sound.end, measure.end)
            if onset >= end:
                continue
            if onset > reached:
                yield _rest(reached, onset)
            yield replace(sound, onset=onset, end=end)
            reached = end
        if reached < measure.end:
            yield _rest(reached, measure.end)

    def _add_music(self, element: Element, measure: WrittenMeasure) -> None:
        chords = [
            (exact(chord.onset), chord.text)
            for chord in self._tab.song.chords
            if measure.onset <= exact(chord.onset) < measure.end
        ]
        for sound in self._within(measure):
            for onset, text in chords:
                if sound.onset <= onset < sound.end:
                    offset = (onset - sound.onset) * self._divisions
                    element.append(harmony_element(text, Fraction(round(offset))))
            element.extend(self._written(sound))

    def _written(self, sound: _Sound) -> Iterator[Element]:
        values = note_values(sound.end - sound.onset)
        if not sound.together:
            for value in values:
                yield rest_element(value, self._divisions)
            return
        begin, end = sound.whole
        onset = sound.onset
        for value in values:
            tie = Tie(stops=onset > begin, starts=onset + value.length < end)
            yield from self._notes(sound, value, tie)
            onset += value.length

    def _notes(self, sound: _Sound, value: NoteValue, tie: Tie) -> list[Element]:
        return note_elements(sound.together, value, self._divisions, tie, self._tab.song.key)

    def _add_attributes(self, element: Element, measure: WrittenMeasure, *, is_first: bool) -> None:
        song = self._tab.song
        changes = {exact(change.onset): change.metre for change in song.metre_changes}
        if not is_first and measure.onset not in changes:
            return
        attributes = SubElement(element, "attributes")
        if is_first:
            with_text(attributes, "divisions", self._divisions)
            self._add_key(attributes)
            held = [song.metre, *(m for onset, m in changes.items() if onset <= measure.onset)]
            _add_metre(attributes, held[-1])
            _add_staff(attributes, self._tab.tuning)
            self._add_tempo(element)
        else:
            _add_metre(attributes, changes[measure.onset])

    def _add_key(self, attributes: Element) -> None:
        key = self._tab.song.key
        if key is None:
            return
        element = SubElement(attributes, "key")
        with_text(element, "fifths", sum(alteration for _, alteration in key.signature))
        if key.mode:
            with_text(element, "mode", key.mode)

    def _add_tempo(self, element: Element) -> None:
        tempo = self._tab.song.tempo
        if tempo:
            direction = SubElement(element, "direction", placement="above")
            mark = SubElement(SubElement(direction, "direction-type"), "metronome")
            with_text(mark, "beat-unit", "quarter")
            with_text(mark, "per-minute", f"{tempo:g}")
            SubElement(direction, "sound", tempo=f"{tempo:g}")

    def _add_bar_line(self, element: Element, measure: WrittenMeasure, side: str) -> None:
        lines = self._tab.song.bar_lines
        place = measure.onset if side == "left" else measure.end
        here = [line for line in lines if exact(line.onset) == place]
        bar_line = Element("barline", location=side)
        styles = {line.style for line in here}
        if side == "right" and styles & {"double", "final"}:
            style = "light-heavy" if "final" in styles else "light-light"
            with_text(bar_line, "bar-style", style)
        self._add_ending(bar_line, measure, side)
        if styles & {"repeat both", "repeat start" if side == "left" else "repeat end"}:
            direction = "forward" if side == "left" else "backward"
            SubElement(bar_line, "repeat", direction=direction)
        if len(bar_line):
            element.append(bar_line)

    def _add_ending(self, bar_line: Element, measure: WrittenMeasure, side: str) -> None:
        """Begin or close the bracket of an ending, which the next marked bar line closes."""
        marked = [(exact(line.onset), line.ending) for line in self._tab.song.bar_lines]
        for (begins, number), (closes, _) in pairwise([*marked, (self._measures[-1].end, "")]):
            if not number:
                continue
            if side == "left" and begins == measure.onset:
                SubElement(bar_line, "ending", number=number, type="start")
            if side == "right" and closes == measure.end:
                SubElement(bar_line, "ending", number=number, type="stop")


def _rest(onset: Fraction, end: Fraction) -> _Sound:
    return _Sound(onset, end, (), (onset, end))


def _sounds(tab: Tab, measures: Sequence[WrittenMeasure]) -> list[_Sound]:
    """Gather the notes that begin together; each group ends where the next begins, or before."""
    notes = [note for measure in measures for note in measure.notes]
    reached: dict[int, tuple[tuple[str, str], ...]] = {}
    latest: dict[int, int] = {}
    for place, note in enumerate(notes):
        before = latest.get(note.string)
        if not note.is_struck:
            reached[place] = (("stop", note.left_hand),)
            if before is not None:
                reached[before] = (*reached.get(before, ()), ("start", note.left_hand))
        latest[note.string] = place
    struck = [
        Struck(note, tab.pitch(note), reached.get(place, ())) for place, note in enumerate(notes)
    ]
    groups = [tuple(group) for _, group in groupby(struck, key=lambda each: each.note.onset)]
    onsets = [exact(group[0].note.onset) for group in groups]
    ends = [exact(max(each.note.onset + each.note.duration for each in group)) for group in groups]
    following = [*onsets[1:], ends[-1]] if ends else []
    return [
        _Sound(onset, min(end, latest_end), group, (onset, min(end, latest_end)))
        for onset, end, latest_end, group in zip(onsets, ends, following, groups, strict=True)
    ]


def _add_metre(attributes: Element, metre: Metre) -> None:
    time = SubElement(attributes, "time")
    if metre.is_free:
        SubElement(time, "senza-misura")
        return
    with_text(time, "beats", "+".join(map(str, metre.groups)) or metre.numerator)
    with_text(time, "beat-type", metre.denominator)


def _add_staff(attributes: Element, tuning: BanjoTuning) -> None:
    clef = SubElement(attributes, "clef")
    with_text(clef, "sign", "TAB")
    with_text(clef, "line", 5)
    # Pitches are as they sound; the banjo is written an octave higher. Common practice, no source.
    with_text(clef, "clef-octave-change", -1)
    details = SubElement(attributes, "staff-details")
    with_text(details, "staff-lines", 5)
    for line, pitch in enumerate(reversed(tuning.open_strings), start=1):
        name = note_name(pitch - tuning.capo, None)
        string = SubElement(details, "staff-tuning", line=str(line))
        with_text(string, "tuning-step", name[0])
        if name[1] in "#b":
            with_text(string, "tuning-alter", 1 if name[1] == "#" else -1)
        with_text(string, "tuning-octave", name.lstrip("ABCDEFG#b"))
    if tuning.capo:
        with_text(details, "capo", tuning.capo)
