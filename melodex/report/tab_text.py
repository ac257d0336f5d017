"""Tab in plain characters: five lines a system, which `melodex add` reads again."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby
from math import lcm
from types import MappingProxyType
from typing import TypeAlias

from melodex.model.tablature import CHOKE, Tab, TabNote
from melodex.report.counting import Count, counts_of
from melodex.report.shown_chords import shown_chords
from melodex.report.tab_bars import Bars, bars_around
from melodex.report.tab_fingers import finger_letters
from melodex.report.tab_measures import WrittenMeasure, exact, measures_of
from melodex.report.word_rows import Word, in_rows

# Characters a line without the strings' names and the last bar line: they fit into 80 columns.
# A wider measure stands on a line of its own.
WIDTH = 76
MARGIN = 1  # characters between a bar line and the first place for a note
EIGHTH = Fraction(1, 2)  # quarter notes; the widest unit
_DASH = "-"
CHOKE_SIGN = "b"  # behind the fret; the signs of _SIGNS stand before the fret that they lead to
_SIGNS = {"hammer-on": "h", "pull-off": "p"}
MELODY_SIGN = "^"
MELODY_LEGEND = f"The melody's notes have a {MELODY_SIGN} below."
_Counts: TypeAlias = Mapping[Fraction, tuple[Count, ...]]
_NO_COUNTS: _Counts = MappingProxyType({})
STRINGS = 5
_STRINGS_WITH_DOTS = (2, 4)  # of a repeat sign


def tab_text(
    tab: Tab, measures: tuple[int, int] | None = None, *, count: bool = False
) -> list[str]:
    """Write a tab as lines of text.

    Parameters
    ----------
    measures : (int, int) or None
        First and last number as written; None for all.
    count : bool
        Whether a line below counts the beats, "1 & 2 &".

    Returns
    -------
    list of str
        A heading that says how to read it, then systems: chord symbols and measure numbers above
        the five lines, string 1 on top, and the right hand's fingers below where they are known,
        those of a pinch under each other, string 1 first (a point stands for one that is not
        known, the last letter holds for the strings below it too), then a sign for the melody's
        notes. A system is as wide as its own shortest note needs; where the spacing changes it is
        stated.

    Raises
    ------
    QueryError
        If the song has none of these measures.
    """
    chosen = measures_of(tab, measures)
    systems = list(_systems(tab, chosen))
    counts = counts_of(tab.song, chosen) if count else _NO_COUNTS
    lines = _heading(tab)
    if any(note.is_melody for measure in chosen for note in measure.notes):
        lines.append(MELODY_LEGEND)
    spacing = ""
    for grid, system in systems:
        if grid.stated != spacing:
            spacing = grid.stated
            lines += [spacing] if grid is systems[0][0] else ["", spacing]
        lines += _lines_of_system(tab, system, grid, counts)
    return lines


def tabs_to_compare(
    tabs: Sequence[Tab], measures: tuple[int, int], *, count: bool = False
) -> list[list[str]]:
    """Write the same measures of several tabs, each without heading, spaced alike.

    Parameters
    ----------
    count : bool
        As for ``tab_text``.

    Raises
    ------
    QueryError
        If a song has none of these measures.
    """
    chosen = [measures_of(tab, measures) for tab in tabs]
    grid = _grid([measure for each in chosen for measure in each])
    return [
        [
            line
            for system in _lines_that_fit(tab, each, lambda _: grid)
            for line in _lines_of_system(
                tab, system, grid, counts_of(tab.song, each) if count else _NO_COUNTS
            )
        ][1:]
        for tab, each in zip(tabs, chosen, strict=True)
    ]


def _systems(
    tab: Tab, measures: Sequence[WrittenMeasure]
) -> Iterator[tuple["_Grid", list[WrittenMeasure]]]:
    """Share measures out to lines, each with the grid that it needs."""
    chords = frozenset(exact(chord.onset) for chord in tab.song.chords)
    for system in _lines_that_fit(tab, measures, lambda system: _grid(system, chords)):
        yield _grid(system, chords), system


def _lines_that_fit(
    tab: Tab,
    measures: Iterable[WrittenMeasure],
    grid_of: Callable[[Sequence[WrittenMeasure]], "_Grid"],
) -> Iterator[list[WrittenMeasure]]:
    """Fill one line after another; a measure that would make a line too wide begins the next."""
    system: list[WrittenMeasure] = []
    for measure in measures:
        longer = [*system, measure]
        grid = grid_of(longer)
        if system and sum(_width(tab, each, grid) for each in longer) > WIDTH:
            yield system
            longer = [measure]
        system = longer
    yield system


def _width(tab: Tab, measure: WrittenMeasure, grid: "_Grid") -> int:
    """Return the characters of a measure with its repeat signs and a bar line."""
    return grid.column(measure.end - measure.onset) + sum(bars_around(tab.song, measure)) + 1


def _lines_of_system(
    tab: Tab, system: Iterable[WrittenMeasure], grid: "_Grid", counts: _Counts = _NO_COUNTS
) -> list[str]:
    """Write a system, an empty line before it."""
    return ["", *_lines_of(tab, [_block(tab, measure, grid, counts) for measure in system])]


@dataclass(frozen=True, slots=True)
class _Grid:
    """How time becomes characters."""

    unit: Fraction  # quarter notes
    characters: int  # a unit

    @property
    def stated(self) -> str:
        """The heading that says so."""
        return f"Spacing: {self.characters} characters = {self.unit / 4}"

    def column(self, quarter_notes: Fraction) -> int:
        """Return characters from the bar line."""
        return MARGIN + int(quarter_notes / self.unit) * self.characters


@dataclass(frozen=True, slots=True)
class _Block:
    """A measure as characters, its rows equally long."""

    chords: tuple[Word, ...]
    number: str  # of the measure, and the ending that it begins
    strings: tuple[str, ...]
    below: tuple[str, ...]  # fingers, count, melody


def _grid(measures: Sequence[WrittenMeasure], chords: frozenset[Fraction] = frozenset()) -> _Grid:
    """Find the widest unit that every note and bar line falls on, and how wide to draw it."""
    places = [
        time - measure.onset
        for measure in measures
        for time in [
            measure.end,
            *(exact(note.onset) for note in measure.notes),
            *(onset for onset in chords if measure.onset < onset < measure.end),
        ]
    ]
    unit = Fraction(1, lcm(*(place.denominator for place in places)))
    notes = [note for measure in measures for note in measure.notes]
    digits = max((len(str(note.fret)) for note in notes), default=1)
    has_chokes = any(note.left_hand == CHOKE for note in notes)
    return _Grid(min(unit, EIGHTH), digits + 1 + has_chokes)


def _heading(tab: Tab) -> list[str]:
    song, tuning = tab.song, tab.tuning
    lines = [f"Title: {song.title}", f"Tuning: {tuning.name} ({tuning})"]
    if tuning.capo:
        lines.append(f"Capo: {tuning.capo}")
    if song.key and song.key.tonic and song.key.mode:
        lines.append(f"Key: {song.key}")
    if not song.metre.is_free:
        lines.append(f"Metre: {song.metre}")
    if song.tempo:
        lines.append(f"Tempo: {song.tempo:g}")
    return lines


def _block(tab: Tab, measure: WrittenMeasure, grid: _Grid, counts: _Counts) -> _Block:
    width = grid.column(measure.end - measure.onset)
    rows = [[_DASH] * width for _ in tab.tuning.strings]
    for note in measure.notes:
        column = grid.column(exact(note.onset) - measure.onset)
        row = rows[note.string - 1]
        for place, digit in enumerate(str(note.fret)):
            row[column + place] = digit
        if note.left_hand == CHOKE:
            row[column + len(str(note.fret))] = CHOKE_SIGN
        elif note.left_hand:
            row[column - 1] = _sign(tab, note)
    block = _Block(
        tuple(_chords_above(tab, measure, grid)),
        _number_above(tab, measure),
        tuple(map("".join, rows)),
        _below(measure, grid, counts),
    )
    return _with_bar_lines(block, bars_around(tab.song, measure))


def _below(measure: WrittenMeasure, grid: _Grid, counts: _Counts) -> tuple[str, ...]:
    """Write the fingers of each moment under each other, the count, and signs for the melody."""
    width = grid.column(measure.end - measure.onset)
    fingers, count, melody = ([[" "] * width for _ in range(n)] for n in (STRINGS, 1, 1))
    for onset, notes in groupby(measure.notes, key=lambda note: note.onset):
        together = sorted(notes, key=lambda note: note.string)
        column = grid.column(exact(onset) - measure.onset)
        for row, letter in zip(fingers, finger_letters(together), strict=False):
            row[column] = letter
        if any(note.is_melody for note in together):
            melody[0][column] = MELODY_SIGN
    for place, word in counts.get(measure.onset, ()):
        if place % grid.unit == 0:
            count[0][grid.column(place)] = word
    return tuple("".join(row) for row in [*fingers, *count, *melody])


def _chords_above(tab: Tab, measure: WrittenMeasure, grid: _Grid) -> Iterator[Word]:
    for chord in shown_chords(tab.song, tab.tuning.capo):
        if measure.onset <= exact(chord.onset) < measure.end:
            yield Word(grid.column(exact(chord.onset) - measure.onset), chord.text)


def _number_above(tab: Tab, measure: WrittenMeasure) -> str:
    endings = {exact(line.onset): line.ending for line in tab.song.bar_lines if line.ending}
    ending = f" [{endings[measure.onset]}." if measure.onset in endings else ""
    return f"{measure.number}{ending}"


def _sign(tab: Tab, note: TabNote) -> str:
    if note.left_hand in _SIGNS:
        return _SIGNS[note.left_hand]
    before = [
        other.fret
        for other in tab.notes
        if other.string == note.string and other.onset < note.onset
    ]
    return "\\" if before and before[-1] > note.fret else "/"


def _with_bar_lines(block: _Block, bars: Bars) -> _Block:
    """Put dots before or behind a measure that begins or ends a repeat, a stroke at a double."""
    dots = [
        ":" if string in _STRINGS_WITH_DOTS else _DASH for string, _ in enumerate(block.strings, 1)
    ]
    before, behind = " " * bars.begins_repeat, " " * (bars.ends_repeat + bars.is_double)
    return _Block(
        tuple(Word(column + len(before), text) for column, text in block.chords),
        block.number,
        tuple(
            dot * bars.begins_repeat + text + dot * bars.ends_repeat + "|" * bars.is_double
            for dot, text in zip(dots, block.strings, strict=True)
        ),
        tuple(before + row + behind for row in block.below),
    )


def _lines_of(tab: Tab, system: Sequence[_Block]) -> list[str]:
    names = tab.tuning.string_names
    indent = max(map(len, names))
    begins = list(accumulate((len(each.strings[0]) + 1 for each in system), initial=indent + 1))
    chords = [
        Word(begin + column, text)
        for begin, block in zip(begins, system, strict=False)
        for column, text in block.chords
    ]
    numbers = [Word(begin, block.number) for begin, block in zip(begins, system, strict=False)]
    below = [
        " " * (indent + 1) + " ".join(rows)
        for rows in zip(*(block.below for block in system), strict=True)
    ]
    strings = [
        name.ljust(indent) + "|" + "|".join(block.strings[string] for block in system) + "|"
        for string, name in enumerate(names)
    ]
    lines = [*reversed(in_rows(chords)), *in_rows(numbers), *strings, *below]
    return [line.rstrip() for line in lines if line.strip()]
