"""Lay out the measures of a text tab in time, and find what sounds in them."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.model.chord_names import transposed_chord
from melodex.model.metre import Metre
from melodex.model.song import BarLine, ChordSymbol, MetreChange
from melodex.model.tablature import REACHED_BY_LEFT_HAND
from melodex.model.tuning import BanjoTuning
from melodex.parsing.repeats import RepeatMark
from melodex.parsing.tab.tab_lines import TypedTab
from melodex.parsing.tab.tab_measure import DEAD, TypedNote
from melodex.parsing.tab.tab_spacing import Spacing
from melodex.parsing.written_score import WrittenMeasure, WrittenNote

TWICE = 2


class TabLayout:
    """A text tab laid out in time.

    ``lengths`` are the lengths of the measures; ``onsets`` are their onsets, and the end of the
    last one; all in quarter notes.
    """

    def __init__(
        self,
        typed: TypedTab,
        frets: Sequence[Sequence[TypedNote]],
        spacings: Sequence[Spacing],
        tuning: BanjoTuning,
        shown: Path,
    ) -> None:
        self._typed = typed
        self._frets = frets
        self._spacings = spacings
        self._tuning = tuning
        self._shown = shown  # the path as errors show it
        self.lengths: list[float] = []
        self._sources: list[int] = []  # the measure whose text each measure uses
        for place, measure in enumerate(typed.measures):
            is_same = measure.is_same and place > 0
            self._sources.append(self._sources[-1] if is_same else place)
            width = len(measure.strings[0])
            self.lengths.append(self.lengths[-1] if is_same else spacings[place].length(width))
        self.onsets = list(accumulate(self.lengths, initial=0.0))

    def measures(self) -> list[WrittenMeasure]:
        """Return the measures, with the numbers typed above them if all have one."""
        numbers = [around.number for around in self._typed.surroundings]
        known = numbers if None not in numbers else [None] * len(numbers)
        return [
            WrittenMeasure(onset, number)
            for onset, number in zip(self.onsets[:-1], known, strict=True)
        ]

    def metres(self, held: Sequence[Metre]) -> list[MetreChange]:
        """Return the first metre and every change.

        Parameters
        ----------
        held : sequence of Metre
            The metre of each measure.
        """
        changed = [place for place in range(1, len(held)) if held[place] != held[place - 1]]
        return [MetreChange(self.onsets[place], held[place]) for place in (0, *changed)]

    def notes(self) -> list[WrittenNote]:
        """Return the notes with their time and pitch.

        Raises
        ------
        ScoreParseError
            If frets are too close together for the spacing. The message names line and measure.
        """
        return [
            note
            for place, source in enumerate(self._sources)
            for note in self._notes_of(place, source)
        ]

    def _notes_of(self, place: int, source: int) -> list[WrittenNote]:
        typed = self._frets[source]
        columns = sorted({note.column for note in typed})
        spacing = self._spacings[source]
        places = [spacing.place(column) for column in columns]
        if any(later <= earlier for earlier, later in pairwise(places)):
            line = self._typed.measures[source].lines[0]
            reason = f"measure {source + 1} has notes too close together; space its frets evenly"
            raise ScoreParseError(self._shown, line=line, reason=reason)
        start = self.onsets[place]
        place_of = dict(zip(columns, places, strict=True))
        end_of = dict(zip(columns, [*places, self.lengths[place]][1:], strict=True))
        around = self._typed.surroundings[source]
        fingers, melody = _fingers(typed, around.fingers), _melody(typed, around.melody)
        return [
            WrittenNote(
                onset=start + place_of[note.column],
                duration=max(end_of[note.column] - place_of[note.column], spacing.unit / 2),
                pitch=self._tuning.pitch(note.string, note.fret),
                string=note.string,
                fret=note.fret,
                left_hand=note.left_hand,
                finger=fingers.get((note.column, note.string), ""),
                is_melody=(note.column, note.string) in melody,
            )
            for note in typed
            if note.fret != DEAD
        ]

    def letters_under_no_note(self) -> list[int]:
        """Return the measures, counted from 1, with a finger's letter that is under no note."""
        return [
            number
            for number, (notes, around) in enumerate(
                zip(self._frets, self._typed.surroundings, strict=True), start=1
            )
            if any(letters.strip() for letters in around.fingers.values())
            and not {column for column, letters in around.fingers.items() if letters.strip()}
            <= {note.column for note in notes}
        ]

    def chords(self) -> list[ChordSymbol]:
        """Return the chords typed above the measures; of several at one onset the last.

        With a capo, the names above the tab are those of the chord shapes.
        """
        found: dict[float, str] = {}
        for place, around in enumerate(self._typed.surroundings):
            begin, end = self.onsets[place : place + 2]
            for column, shape in around.chords:
                onset = begin + min(max(self._spacings[place].place(column), 0.0), end - begin)
                found[onset] = transposed_chord(shape, self._tuning.capo)
        return [ChordSymbol(onset, text) for onset, text in found.items()]

    def repeats(self) -> tuple[list[BarLine], list[RepeatMark]]:
        """Return all bar lines except single thin ones, and the repeat marks that they imply."""
        marks: defaultdict[float, RepeatMark] = defaultdict(lambda: RepeatMark(0.0))
        styles: dict[float, str] = {}
        for (begin, end), measure, around in zip(
            pairwise(self.onsets), self._typed.measures, self._typed.surroundings, strict=True
        ):
            passes = tuple(map(int, around.ending.split(","))) if around.ending else ()
            opening = marks[begin]
            marks[begin] = opening._replace(
                onset=begin,
                starts=measure.starts_repeat,
                divides=opening.divides or measure.follows_final,
                passes=passes,
            )
            if measure.follows_final:
                styles[begin] = "final"
            marks[end] = RepeatMark(
                end,
                times=measure.ends_repeat * (measure.times or TWICE),
                divides=measure.closing != "",
            )
            styles[end] = measure.closing
        marked = [mark for mark in marks.values() if any(mark[1:])]
        return [_bar_line(mark, styles.get(mark.onset, "")) for mark in marked], marked


def _bar_line(mark: RepeatMark, drawn: str) -> BarLine:
    if mark.times and mark.starts:
        style = "repeat both"
    elif mark.times or mark.starts:
        style = "repeat end" if mark.times else "repeat start"
    else:
        style = drawn or "ending"
    return BarLine(mark.onset, style, ",".join(map(str, mark.passes)))


def _melody(typed: Sequence[TypedNote], marks: Mapping[int, int]) -> frozenset[tuple[int, int]]:
    """Return column and string of the notes marked as melody.

    Parameters
    ----------
    marks : mapping of int to int
        By column, the index of the melody note there, string 1 first.
    """
    sounding: defaultdict[int, list[int]] = defaultdict(list)
    for note in typed:
        sounding[note.column].append(note.string)
    return frozenset(
        (column, strings[marks[column]])
        for column, strings in sounding.items()
        if column in marks and marks[column] < len(strings)
    )


def _fingers(typed: Sequence[TypedNote], letters: Mapping[int, str]) -> dict[tuple[int, int], str]:
    """Assign the letters under a column to its struck notes, from string 1 on.

    The last letter also applies to the strings after it: one finger brushes them.
    """
    struck: defaultdict[int, list[int]] = defaultdict(list)
    for note in typed:
        if note.left_hand not in REACHED_BY_LEFT_HAND:
            struck[note.column].append(note.string)
    return {
        (column, string): letters[column][min(place, len(letters[column]) - 1)].strip()
        for column, strings in struck.items()
        if column in letters
        for place, string in enumerate(strings)
    }
