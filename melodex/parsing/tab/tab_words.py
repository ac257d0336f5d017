"""Recognise tuning and capo stated in words above a tab: "sawmill tuning, capo 2"."""

import re
from collections.abc import Iterator

from melodex.errors import QueryError
from melodex.model.tuning import tuning_named

_CAPO = re.compile(r"\bcapo\s+(?:at\s+|on\s+)?(?:the\s+)?(?:fret\s+)?([0-9]{1,2})\b", re.IGNORECASE)
_NAME = r"[a-z#]+"
_BEFORE = re.compile(rf"(?:({_NAME})\s+)?({_NAME})\s+tuning\b", re.IGNORECASE)
_BEHIND = re.compile(rf"\b(?:tuned(?:\s+to)?|tuning)\s+({_NAME})(?:\s+({_NAME}))?", re.IGNORECASE)


def tuning_in_words(line: str) -> dict[str, str]:
    """Return "tuning" and "capo" if a line states them without a colon.

    Examples
    --------
    >>> tuning_in_words("Sawmill tuning, capo 2"), tuning_in_words("tuned to gDGBD")
    ({'capo': '2', 'tuning': 'Sawmill'}, {'tuning': 'gDGBD'})
    >>> tuning_in_words("The Gate Roll")
    {}
    """
    capo = _CAPO.search(line)
    words = {"capo": capo[1]} if capo else {}
    tuning = next(filter(_is_tuning, _names(line)), None)
    return words if tuning is None else {**words, "tuning": tuning}


def _names(line: str) -> Iterator[str]:
    """Yield possible names of tunings, two words before one."""
    for match in _BEFORE.finditer(line):
        first, second = match.groups()
        yield from (f"{first} {second}", second)
    for match in _BEHIND.finditer(line):
        first, second = match.groups()
        yield from (f"{first} {second}", first)


def _is_tuning(name: str) -> bool:
    try:
        tuning_named(name)
    except QueryError:
        return False
    return True
