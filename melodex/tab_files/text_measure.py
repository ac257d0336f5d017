"""Draw one measure of text tab as rows of characters."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from types import MappingProxyType
from typing import TypeAlias

from melodex.model.tablature import CHOKE, Tab, TabNote
from melodex.notation.counting import Count
from melodex.notation.shown_chords import shown_chords
from melodex.notation.tab_measures import TabMeasure, exact
from melodex.tab_files.tab_bars import Bars, bars_around
from melodex.tab_files.tab_fingers import finger_letters, melody_signs
from melodex.tab_files.text_grid import Grid
from melodex.tab_files.word_rows import Word

CHOKE_SIGN = "b"  # after the fret; the signs of _SIGNS come before the fret that they lead to
Counts: TypeAlias = Mapping[Fraction, tuple[Count, ...]]
NO_COUNTS: Counts = MappingProxyType({})
STRINGS = 5
_DASH = "-"
_SIGNS = {"hammer-on": "h", "pull-off": "p"}
_STRINGS_WITH_DOTS = (2, 4)  # of a repeat sign
_BAR_LINES = {"final": "|]", "double": "||"}
_BAR_LINE = "|"


@dataclass(frozen=True, slots=True)
class Block:
    """A measure as characters; its rows have equal lengths."""

    chords: tuple[Word, ...]
    number: str  # the measure's number, and the ending that begins with it
    opening: str  # the bar line before it, if it is first in a line
    times: int  # how often the repeat that ends with it is played
    strings: tuple[str, ...]  # including the bar line after it
    below: tuple[str, ...]  # fingers, count, melody


def width_of(tab: Tab, measure: TabMeasure, grid: Grid) -> int:
    """Return the width of a measure with its repeat signs and one bar line."""
    bars = bars_around(tab.song, measure)
    dots = bars.begins_repeat + bars.ends_repeat
    return grid.column(measure.end - measure.onset) + dots + len(_bar_line(bars))


def block_of(tab: Tab, measure: TabMeasure, grid: Grid, counts: Counts) -> Block:
    """Return a measure with the bar line after it."""
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
    bars = bars_around(tab.song, measure)
    block = Block(
        tuple(_chords_above(tab, measure, grid)),
        _number_above(tab, measure),
        _BAR_LINES["final"] if bars.follows_final else _BAR_LINE,
        bars.times,
        tuple(map("".join, rows)),
        _below(measure, grid, counts),
    )
    return _with_bar_lines(block, bars)


def _below(measure: TabMeasure, grid: Grid, counts: Counts) -> tuple[str, ...]:
    """Return the rows below a measure: fingers, count, and melody signs."""
    width = grid.column(measure.end - measure.onset)
    fingers, count, melody = ([[" "] * width for _ in range(n)] for n in (STRINGS, 1, STRINGS))
    for onset, notes in groupby(measure.notes, key=lambda note: note.onset):
        together = sorted(notes, key=lambda note: note.string)
        column = grid.column(exact(onset) - measure.onset)
        for row, letter in zip(fingers, finger_letters(together), strict=False):
            row[column] = letter
        for row, sign in zip(melody, melody_signs(together), strict=False):
            row[column] = sign
    for place, word in counts.get(measure.onset, ()):
        if place % grid.unit == 0:
            count[0][grid.column(place)] = word
    return tuple("".join(row) for row in [*fingers, *count, *melody])


def _chords_above(tab: Tab, measure: TabMeasure, grid: Grid) -> Iterator[Word]:
    for chord in shown_chords(tab.song, tab.tuning.capo):
        if measure.onset <= exact(chord.onset) < measure.end:
            yield Word(grid.column(exact(chord.onset) - measure.onset), chord.text)


def _number_above(tab: Tab, measure: TabMeasure) -> str:
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


def _with_bar_lines(block: Block, bars: Bars) -> Block:
    """Add the bar line after a measure, and dots if it begins or ends a repeat."""
    dots = [
        ":" if string in _STRINGS_WITH_DOTS else _DASH for string, _ in enumerate(block.strings, 1)
    ]
    bar_line = _bar_line(bars)
    before, behind = " " * bars.begins_repeat, " " * (bars.ends_repeat + len(bar_line))
    return replace(
        block,
        chords=tuple(Word(column + len(before), text) for column, text in block.chords),
        strings=tuple(
            dot * bars.begins_repeat + text + dot * bars.ends_repeat + bar_line
            for dot, text in zip(dots, block.strings, strict=True)
        ),
        below=tuple(before + row + behind for row in block.below),
    )


def _bar_line(bars: Bars) -> str:
    return _BAR_LINES.get(bars.closing, _BAR_LINE)
