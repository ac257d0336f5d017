"""The bar lines of an ABC voice: measures, repeats and endings."""

from collections.abc import Iterable
from itertools import groupby
from operator import itemgetter
from typing import NamedTuple

from melodex.model.song import BarLine
from melodex.parsing.abc.abc_tokens import Bar
from melodex.parsing.repeats import RepeatMark

_PLAIN = Bar()


class BarLines(NamedTuple):
    """What the bar lines of a voice mean; onsets are in quarter notes from its start."""

    onsets: list[float]  # of all bar lines, ascending
    marks: list[RepeatMark]
    seams: set[float]  # where a repeat or double bar may divide a measure
    special: tuple[BarLine, ...]  # all but single thin lines


def read_bar_lines(bars: Iterable[tuple[float, Bar]]) -> BarLines:
    """Combine what is written at each onset: ``:|`` followed by ``|:`` is one bar line.

    Parameters
    ----------
    bars : (onset, Bar)
        Onsets in quarter notes, in ascending order; equal onsets are allowed.
    """
    onsets: list[float] = []
    marks: list[RepeatMark] = []
    special: list[BarLine] = []
    for onset, together in groupby(bars, itemgetter(0)):
        bar = _one_bar([bar for _, bar in together])
        if bar.is_line:
            onsets.append(onset)
        if bar != _PLAIN:
            style = _style(bar)
            special.append(BarLine(onset, style, bar.ending))
            marks.append(_mark(onset, bar))
    seams = {mark.onset for mark in marks if not mark.passes}
    return BarLines(onsets, marks, seams, tuple(special))


def _one_bar(bars: list[Bar]) -> Bar:
    if len(bars) == 1:
        return bars[0]
    return Bar(
        ends=max(bar.ends for bar in bars),
        starts=max(bar.starts for bar in bars),
        divides=any(bar.divides for bar in bars),
        final=any(bar.final for bar in bars),
        ending=",".join(bar.ending for bar in bars if bar.ending),
        passes=tuple(dict.fromkeys(number for bar in bars for number in bar.passes)),
        is_line=any(bar.is_line for bar in bars),
    )


def _mark(onset: float, bar: Bar) -> RepeatMark:
    return RepeatMark(
        onset,
        times=bar.ends,
        starts=bar.starts > 0,
        divides=bar.divides,
        passes=bar.passes,
        start_times=bar.starts,
    )


def _style(bar: Bar) -> str:
    """Return the style of a bar line as a song stores it; empty for a single thin line."""
    styles = {
        "repeat both": bar.ends and bar.starts,
        "repeat end": bar.ends,
        "repeat start": bar.starts,
        "final": bar.final,
        "double": bar.divides,
        "ending": bar.passes,
    }
    return next((style for style, drawn in styles.items() if drawn), "")
