"""The measures of a tab in MusicXML: notation, with tab below."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import Element, SubElement

from melodex.model.tablature import Tab
from melodex.notation.note_values import note_values
from melodex.notation.tab_measures import MeasureSpan, TabMeasure, exact
from melodex.notation.written_measures import EngravedMeasure, engraved_measures
from melodex.tab_files.beam_elements import add_beams
from melodex.tab_files.musicxml_attributes import add_attributes, add_bar_line
from melodex.tab_files.musicxml_sounds import WrittenSound, sounds_of, sounds_within
from melodex.tab_files.tuplet_brackets import add_tuplet_brackets
from melodex.tab_files.xml_elements import (
    NOTATION,
    TAB,
    NotePosition,
    Tie,
    harmony_element,
    note_elements,
    rest_element,
    with_text,
)


class MeasureWriter:
    """Writes the measures of one document, and keeps its number of divisions a quarter note."""

    def __init__(self, tab: Tab, measures: Sequence[TabMeasure]) -> None:
        self._tab = tab
        self._measures = measures
        self._sounds = sounds_of(tab, measures)
        self._divisions = lcm(
            *(
                value.length.denominator
                for measure in measures
                for sound in sounds_within(self._sounds, measure)
                for value in note_values(sound.end - sound.onset)
            ),
            *(measure.onset.denominator for measure in measures),
        )
        onsets = tab.song.melody.onsets.tolist()
        self._syllables = {
            exact(onsets[syllable.note]): syllable.text for syllable in tab.song.lyrics
        }

    def measure_elements(self) -> Iterator[Element]:
        """Yield the measures."""
        song = self._tab.song
        spans = [MeasureSpan(each.number, each.onset, each.end) for each in self._measures]
        numbers: set[int] = set()
        for place, engraved in enumerate(engraved_measures(song, spans)):
            measure = self._measures[place]
            is_second_part = measure.number in numbers  # of a measure divided by a repeat
            name = f"{measure.number}{'a' if is_second_part else ''}"
            element = Element("measure", number=name)
            if is_second_part or not measure.number:
                element.set("implicit", "yes")
            numbers.add(measure.number)
            add_bar_line(element, song, self._measures, place, "left")
            add_attributes(element, self._tab, measure, self._divisions, is_first=place == 0)
            self._add_notation(element, measure, engraved)
            self._add_tab(element, measure)
            add_bar_line(element, song, self._measures, place, "right")
            yield element

    def _add_notation(
        self, element: Element, measure: TabMeasure, engraved: EngravedMeasure
    ) -> None:
        chords = [
            (exact(chord.onset), chord.text)
            for chord in self._tab.song.chords
            if measure.onset <= exact(chord.onset) < measure.end
        ]
        notes: list[Element] = []
        for sound in sounds_within(self._sounds, measure):
            for onset, text in chords:
                if sound.onset <= onset < sound.end:
                    offset = (onset - sound.onset) * self._divisions
                    element.append(harmony_element(text, Fraction(round(offset))))
            written = list(self._written(sound, NOTATION))
            self._add_syllable(written, sound)
            notes += written
            element.extend(written)
        add_beams(notes, self._divisions, engraved)
        add_tuplet_brackets(notes, self._divisions)

    def _add_syllable(self, written: Sequence[Element], sound: WrittenSound) -> None:
        """Append the syllable sung to a note that begins here."""
        text = self._syllables.get(sound.onset)
        if text and sound.together and sound.onset == sound.whole[0]:
            with_text(SubElement(written[0], "lyric"), "text", text)

    def _add_tab(self, element: Element, measure: TabMeasure) -> None:
        backup = SubElement(element, "backup")
        with_text(backup, "duration", (measure.end - measure.onset) * self._divisions)
        notes = [
            note
            for sound in sounds_within(self._sounds, measure)
            for note in self._written(sound, TAB)
        ]
        add_tuplet_brackets(notes, self._divisions)
        element.extend(notes)

    def _written(self, sound: WrittenSound, staff: int) -> Iterator[Element]:
        onset = sound.onset
        begin, end = sound.whole
        for value in note_values(sound.end - sound.onset):
            place = NotePosition(value, self._divisions, staff)
            if sound.together:
                tie = Tie(stops=onset > begin, starts=onset + value.length < end)
                yield from note_elements(sound.together, place, tie, self._tab.song.key)
            else:
                yield rest_element(place)
            onset += value.length
