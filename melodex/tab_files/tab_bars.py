"""The bar lines around a measure, and whether they express the order of playing."""

from collections import Counter
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from melodex.model.song import BarLine, Song
from melodex.notation.tab_measures import TabMeasure, exact, measure_spans
from melodex.parsing.repeats import RepeatMark, played_sections

STARTS = frozenset({"repeat start", "repeat both"})
ENDS = frozenset({"repeat end", "repeat both"})
TWICE = 2
# Bar lines to which a repeat end without a start goes back. In text they are those of ABC 2.1,
# section 4.8; in MusicXML a double bar line is not among them.
DIVIDING_IN_TEXT = frozenset({"double", "final"})
DIVIDING_IN_MUSICXML = frozenset({"final"})


class Bars(NamedTuple):
    """Properties of the bar lines around a measure."""

    follows_final: bool  # whether it comes after a final bar line
    begins_repeat: bool
    ends_repeat: bool
    times: int  # how often the repeat ending here is played; 0 if none ends
    closing: str  # the style of the bar line after it: "double", "final" or ""


def bars_around(song: Song, measure: TabMeasure) -> Bars:
    """Return the bar lines before and after a measure of text tab."""
    before, behind = (
        {line.style for line in song.bar_lines if exact(line.onset) == onset}
        for onset in (measure.onset, measure.end)
    )
    return Bars(
        follows_final="final" in before and measure.onset == 0,
        begins_repeat=bool(before & STARTS)
        or measure.onset in unmarked_repeat_starts(song, DIVIDING_IN_TEXT),
        ends_repeat=bool(behind & ENDS),
        times=times_played(song, measure.end) if behind & ENDS else 0,
        closing=next((style for style in ("final", "double") if style in behind), ""),
    )


def times_played(song: Song, end: Fraction) -> int:
    """Return how often the section that a repeat sign at ``end`` closes is played.

    It is 2 where an ending closes, because the ending states its own passes.
    """
    marked = [line for line in song.bar_lines if exact(line.onset) < end]
    if marked and marked[-1].ending:
        return TWICE
    return max(_jumps(song)[end] + 1, TWICE)


def _jumps(song: Song) -> Counter[Fraction]:
    """Return how often playing jumps back at each position."""
    followed = pairwise(song.sections.tolist())
    return Counter(exact(end) for (_, end), (start, _) in followed if start < end)


@lru_cache(maxsize=8)
def unmarked_repeat_starts(song: Song, dividing: frozenset[str]) -> frozenset[Fraction]:
    """Return where repeats begin, in quarter notes, that the bar lines do not show.

    Parameters
    ----------
    dividing : frozenset of str
        The styles of bar lines to which a repeat end without a start goes back.
    """
    sections = [(exact(start), exact(end)) for start, end in song.sections.tolist()]
    jumps = {(start, end) for (_, end), (start, _) in pairwise(sections) if start < end}
    starts = frozenset(start for start, end in jumps if not _is_known(song, start, end, dividing))
    return starts if _is_order(song, dividing, starts) else frozenset()


def order_is_written(song: Song, dividing: frozenset[str]) -> bool:
    """Return whether bar lines that can be written express the order of playing.

    They do not if the source states the order in another way, or if an ending begins inside a
    measure.

    Parameters
    ----------
    dividing : frozenset of str
        As for ``unmarked_repeat_starts``.
    """
    return _is_order(song, dividing, unmarked_repeat_starts(song, dividing))


def _is_known(song: Song, start: Fraction, end: Fraction, dividing: frozenset[str]) -> bool:
    """Return whether the bar lines alone send a reader back to ``start`` at ``end``."""
    marked = [(exact(line.onset), line.style) for line in song.bar_lines]
    if any(onset == start and style in STARTS for onset, style in marked):
        return True
    divides = [onset for onset, style in marked if style in dividing | ENDS and onset < end]
    endings = [exact(line.onset) for line in song.bar_lines if line.ending]
    latest = max((onset for onset in divides if onset not in endings), default=Fraction(0))
    return start == latest


def _is_order(song: Song, dividing: frozenset[str], starts: frozenset[Fraction]) -> bool:
    """Return whether the bar lines, with these repeat starts, yield the song's order of playing."""
    spans = measure_spans(song, 0.0)
    places = {span.onset for span in spans} | {spans[-1].end}
    marks = [_mark(song, line, dividing) for line in song.bar_lines if exact(line.onset) in places]
    marks += [RepeatMark(float(start), starts=True) for start in starts]
    played = played_sections(marks, float(spans[-1].end)).sections
    return [(exact(start), exact(end)) for start, end in played] == [
        (exact(start), exact(end)) for start, end in song.sections.tolist()
    ]


def _mark(song: Song, line: BarLine, dividing: frozenset[str]) -> RepeatMark:
    return RepeatMark(
        line.onset,
        times=times_played(song, exact(line.onset)) if line.style in ENDS else 0,
        starts=line.style in STARTS,
        divides=line.style in dividing,
        passes=tuple(map(int, line.ending.split(","))) if line.ending else (),
    )
