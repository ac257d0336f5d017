"""The bar lines around a measure of tab, repeats that only the order of playing tells included."""

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from melodex.model.song import Song
from melodex.report.tab_measures import WrittenMeasure, exact

_STARTS = {"repeat start", "repeat both"}
_ENDS = {"repeat end", "repeat both"}
_DIVIDES = {"double", "final"}


class Bars(NamedTuple):
    """What the bar lines around a measure are beside plain ones."""

    begins_repeat: bool
    ends_repeat: bool
    is_double: bool  # the one behind it


def bars_around(song: Song, measure: WrittenMeasure) -> Bars:
    """Return what the bar lines of a song are before and behind a measure."""
    before, behind = (
        {line.style for line in song.bar_lines if exact(line.onset) == onset}
        for onset in (measure.onset, measure.end)
    )
    return Bars(
        bool(before & {"repeat start", "repeat both"})
        or measure.onset in unmarked_repeat_starts(song),
        bool(behind & {"repeat end", "repeat both"}),
        bool(behind & {"double", "final"}),
    )


@lru_cache(maxsize=8)
def unmarked_repeat_starts(song: Song) -> frozenset[Fraction]:
    """Return where playing goes back to, in quarter notes, if readers would not know.

    A repeat sign without a beginning goes back to the latest repeat sign or double bar, else to the
    beginning of the music. Source: ABC 2.1, section 4.8.
    """
    sections = [(exact(start), exact(end)) for start, end in song.sections.tolist()]
    jumps = {(start, end) for (_, end), (start, _) in pairwise(sections) if start < end}
    return frozenset(start for start, end in jumps if not _is_known(song, start, end))


def _is_known(song: Song, start: Fraction, end: Fraction) -> bool:
    """Whether a reader goes back to ``start`` at ``end`` without being told."""
    marked = [(exact(line.onset), line.style) for line in song.bar_lines]
    if any(onset == start and style in _STARTS for onset, style in marked):
        return True
    divides = [onset for onset, style in marked if style in _DIVIDES | _ENDS and onset < end]
    endings = [exact(line.onset) for line in song.bar_lines if line.ending]
    latest = max((onset for onset in divides if onset not in endings), default=Fraction(0))
    return start == latest
