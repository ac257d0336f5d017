"""P: fields of ABC: the order in which the parts of a tune are played."""

import re
from collections.abc import Sequence
from itertools import pairwise

from melodex.parsing.repeats import PlayedSections, RepeatMark, join_sections, played_sections

MOST_PARTS = 128  # parts beyond these are not played
_MOST_DIGITS = 9
_ORDER = re.compile(r"[A-Z\d().\s]*")
_PIECE = re.compile(r"[A-Z]|\(|\)|\d+")


def order_of_parts(text: str) -> list[str]:
    """Expand the order of parts stated by P: in the header; empty if it states none.

    Source
    ------
    ABC 2.1, section 3.1.9. Dots are for legibility.

    Examples
    --------
    >>> "".join(order_of_parts("(A2.(BC)2)2D"))
    'AABCBCAABCBCD'
    """
    if not _ORDER.fullmatch(text):
        return []
    groups: list[list[str]] = [[]]
    latest: list[str] = []  # the part or group that a following number repeats
    for piece in _PIECE.findall(text):
        if piece == "(":
            groups.append([])
            continue
        if piece.isdecimal():
            # Limited to what is kept: nested repeat counts could expand to more parts than fit in
            # memory.
            times = int(piece[:_MOST_DIGITS]) - 1
            latest = (latest * min(times, MOST_PARTS))[:MOST_PARTS]
        elif piece != ")":
            latest = [piece]
        elif len(groups) > 1:
            latest = groups.pop()
        groups[-1] = [*groups[-1], *latest][:MOST_PARTS]
    return [part for group in groups for part in group][:MOST_PARTS]


def played_parts(
    order: str, parts: Sequence[tuple[float, str]], marks: Sequence[RepeatMark], end: float
) -> PlayedSections | None:
    """Return the sections played in an order of parts; None if a part is not marked.

    Parameters
    ----------
    order : str
        The P: field of the header.
    parts : (onset, label)
        The P: fields in the tune body; music before the first belongs to that part.
    marks, end
        As for ``played_sections``.
    """
    if not parts:
        return None
    starts = [0.0, *(onset for onset, _ in parts[1:]), end]
    spans = {
        label: span for (_, label), span in reversed([*zip(parts, pairwise(starts), strict=True)])
    }
    names = order_of_parts(order)
    if not names or not spans.keys() >= set(names):
        return None
    played = {name: _part(*spans[name], marks) for name in set(names)}
    whole = join_sections(stretch for name in names for stretch in played[name].sections)
    cut = len(names) >= MOST_PARTS or any(part.shortened for part in played.values())
    return PlayedSections(whole.sections, whole.shortened or cut)


def _part(start: float, stop: float, marks: Sequence[RepeatMark]) -> PlayedSections:
    inside = [mark for mark in marks if start <= mark.onset <= stop]
    return played_sections(inside, stop, start=start)
