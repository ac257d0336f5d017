"""M:, L: and Q: fields of ABC: metre, unit note length, tempo."""

import re
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from melodex.model.metre import DENOMINATORS, FREE_METRE, LARGEST_NUMERATOR, Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_text import shortened

_NAMED_METRES = {"C": Metre(4, 4), "C|": Metre(2, 2), "none": FREE_METRE, "": FREE_METRE}
_SUM = r"\d{1,3}(?:\s*\+\s*\d{1,3})*"
_METRE = re.compile(rf"(?<!\d)\(?\s*({_SUM})\s*\)?\s*/\s*(\d{{1,3}})(?!\d)")

# Source: ABC 2.1, section 3.1.7.
_LEAST_METRE_OF_EIGHTHS = Fraction(3, 4)
EIGHTH, SIXTEENTH = Fraction(1, 8), Fraction(1, 16)
_UNIT = re.compile(r"(\d{1,3})\s*(?:/\s*(\d{1,4}))?")
_SHORTEST_UNIT = Fraction(1, 1024)
_LONGEST_UNIT = 4

_QUOTED = re.compile(r'"[^"]*"?')
_BEAT_LENGTH = r"\d{1,3}\s*/\s*\d{1,3}"
_TEMPO = re.compile(rf"((?:{_BEAT_LENGTH}\s+)*{_BEAT_LENGTH})\s*=\s*(\d{{1,4}}(?:\.\d{{1,4}})?)")
_UNITS_A_MINUTE = re.compile(r"(?:C(\d{0,2})\s*=\s*)?(\d{1,4}(?:\.\d{1,4})?)")
_QUARTERS_OF_WHOLE = 4


class MetreField(NamedTuple):
    """The content of one M: field."""

    metre: Metre
    remark: str = ""  # a sentence, if the text was not understood exactly


@lru_cache(maxsize=256)  # a book uses few different ones
def parse_metre(text: str) -> MetreField:
    """Parse an M: field; text that cannot be understood is free metre, with a remark.

    Source
    ------
    ABC 2.1, section 3.1.6. Text around a plain metre ("free 4/4") is ignored, with a remark.

    Examples
    --------
    >>> parse_metre("(2+3+2)/8").metre
    Metre(numerator=7, denominator=8, groups=(2, 3, 2))
    """
    text = text.strip()
    named = _NAMED_METRES.get(text)
    if named is not None:
        return MetreField(named)
    match = _METRE.search(text)
    groups = tuple(int(group) for group in match[1].split("+")) if match else ()
    denominator = int(match[2]) if match else 0
    if 0 in groups or not 0 < sum(groups) <= LARGEST_NUMERATOR or denominator not in DENOMINATORS:
        return MetreField(
            FREE_METRE, f"The metre '{shortened(text)}' is unknown: read without a metre."
        )
    metre = Metre(sum(groups), denominator, groups if len(groups) > 1 else ())
    is_whole = match is not None and match[0] == text
    return MetreField(
        metre, "" if is_whole else f"The metre '{shortened(text)}' was read as {metre}."
    )


@lru_cache(maxsize=256)  # a book uses few different ones
def parse_unit_length(text: str) -> Fraction:
    """Parse an L: field: the unit note length as a fraction of a whole note.

    Raises
    ------
    AbcError
        If it is not a length between 1/1024 and four whole notes.
    """
    match = _UNIT.match(text.strip())
    if match and int(match[2] or 1):
        unit = Fraction(int(match[1]), int(match[2] or 1))
        if _SHORTEST_UNIT <= unit <= _LONGEST_UNIT:
            return unit
    raise AbcError(f"unknown unit note length '{text.strip()}' in L: (a form such as 1/8)")


def default_unit_length(metre: Metre) -> Fraction:
    """Return the unit note length of a tune without an L: field."""
    if not metre.is_free and Fraction(metre.numerator, metre.denominator) < _LEAST_METRE_OF_EIGHTHS:
        return SIXTEENTH
    return EIGHTH


def parse_tempo(text: str, unit: Fraction) -> float | None:
    """Parse a Q: field: quarter notes a minute, or None if it states no number.

    Source
    ------
    ABC 2.1, sections 3.1.8 and 10.1 (the older forms Q:120 and Q:C=120 count unit notes).

    Examples
    --------
    >>> parse_tempo('"Allegro" 3/8=80', EIGHTH)
    120.0
    """
    words = _QUOTED.sub(" ", text).strip()
    if match := _TEMPO.match(words):
        beats = [beat.split("/") for beat in re.findall(_BEAT_LENGTH, match[1])]
        if any(int(below) == 0 for _, below in beats):
            return None
        beat = sum(Fraction(int(above), int(below)) for above, below in beats)
    elif match := _UNITS_A_MINUTE.fullmatch(words):
        beat = unit * int(match[1] or 1)
    else:
        return None
    return float(beat * _QUARTERS_OF_WHOLE * Fraction(match[2])) or None
