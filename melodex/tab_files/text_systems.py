"""Divide text tab into systems, and draw each."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import accumulate

from melodex.model.tablature import Tab
from melodex.notation.tab_measures import TabMeasure, exact, metre_at
from melodex.tab_files.tab_bars import TWICE, bars_around
from melodex.tab_files.text_grid import Grid, grid_of
from melodex.tab_files.text_measure import NO_COUNTS, Block, Counts, block_of, width_of
from melodex.tab_files.word_rows import Word, in_rows

# Characters in a line without string names and the last bar line, for a total of 80 columns. A
# wider measure has a line of its own.
WIDTH = 76


def systems_of(tab: Tab, measures: Sequence[TabMeasure]) -> Iterator[tuple[Grid, list[TabMeasure]]]:
    """Yield the measures of each line, with the grid for them."""
    chords = frozenset(exact(chord.onset) for chord in tab.song.chords)
    for system in lines_that_fit(tab, measures, lambda system: grid_of(system, chords)):
        yield grid_of(system, chords), system


def lines_that_fit(
    tab: Tab,
    measures: Iterable[TabMeasure],
    grid_for: Callable[[Sequence[TabMeasure]], Grid],
) -> Iterator[list[TabMeasure]]:
    """Yield measures line by line.

    A measure begins a new line if it does not fit, if the metre changes there, or if it follows a
    repeat played more than twice, which is stated at the end of the line.
    """
    system: list[TabMeasure] = []
    for measure in measures:
        longer = [*system, measure]
        if system and (
            bars_around(tab.song, system[-1]).times > TWICE
            or metre_at(tab.song, measure.onset) != metre_at(tab.song, system[-1].onset)
            or _width_of_all(tab, longer, grid_for(longer)) > WIDTH
        ):
            yield system
            longer = [measure]
        system = longer
    yield system


def _width_of_all(tab: Tab, system: Sequence[TabMeasure], grid: Grid) -> int:
    return sum(width_of(tab, measure, grid) for measure in system)


def lines_of_system(
    tab: Tab, system: Iterable[TabMeasure], grid: Grid, counts: Counts = NO_COUNTS
) -> list[str]:
    """Return the lines of a system, beginning with an empty one."""
    return ["", *_lines_of(tab, [block_of(tab, measure, grid, counts) for measure in system])]


def _lines_of(tab: Tab, system: Sequence[Block]) -> list[str]:
    names = tab.tuning.string_names
    indent = max(map(len, names))
    opening = system[0].opening
    margin = indent + len(opening)
    begins = list(accumulate((len(each.strings[0]) for each in system), initial=margin))
    chords = [
        Word(begin + column, text)
        for begin, block in zip(begins, system, strict=False)
        for column, text in block.chords
    ]
    numbers = [Word(begin, block.number) for begin, block in zip(begins, system, strict=False)]
    below = [
        " " * margin + "".join(rows)
        for rows in zip(*(block.below for block in system), strict=True)
    ]
    strings = [
        name.ljust(indent) + opening + "".join(block.strings[string] for block in system)
        for string, name in enumerate(names)
    ]
    times = system[-1].times
    if times > TWICE:
        strings[0] += f" x{times}"
    lines = [*reversed(in_rows(chords)), *in_rows(numbers), *strings, *below]
    return [line.rstrip() for line in lines if line.strip()]
