"""Which part of a score carries the tune."""

import re
from collections.abc import Sequence

from melodex.parsing.written_score import WrittenPart

# Common practice, no source: how a part that carries the tune is called.
_MELODY_NAME = re.compile(
    r"\b(melod(y|ie|ia)|tune|lead|vocals?|vocalist|voice|song|banjo|fiddle)\b", re.IGNORECASE
)
_KIND_OF_STAFF = re.compile(
    r"\b(tab|tablature|notation|standard|staff|stave)\b|[\W\d_]", re.IGNORECASE
)


def melody_part(parts: Sequence[WrittenPart]) -> WrittenPart:
    """Choose the part to read: a tab staff, else a part named for the tune, else the first.

    Parameters
    ----------
    parts : sequence of WrittenPart, at least one
        Parts with notes, from the highest in the score to the lowest.
    """
    return min(parts, key=lambda part: (not part.is_tab, not _MELODY_NAME.search(part.name)))


def notation_beside(tab: WrittenPart, parts: Sequence[WrittenPart]) -> WrittenPart | None:
    """Find the same music in notation: another staff of the tab's part, or a part named alike."""
    others = [part for part in parts if not part.has_tab_clef]
    same_part = (part for part in others if _part_id(part) == _part_id(tab))
    same_name = (part for part in others if _instrument(part) == _instrument(tab))
    return next(same_part, None) or next(same_name, None)


def _part_id(part: WrittenPart) -> str:
    return part.staff.partition("-Staff")[0]


def _instrument(part: WrittenPart) -> str:
    return _KIND_OF_STAFF.sub("", part.name).lower()
