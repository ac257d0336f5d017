"""Derive bar lines from the time signatures of a MIDI file."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError
from melodex.model.metre import DENOMINATORS, Metre
from melodex.model.song import MetreChange
from melodex.parsing.written_score import WrittenMeasure

MOST_MEASURES = 10_000  # a tune has some hundred; each takes memory in the catalogue
_MOST_BEATS = 99  # in a measure
_MOST_DIGITS = 6  # of a denominator quoted in full by an error
DEFAULT_METRE = Metre(4, 4)  # Source: Standard MIDI Files specification 1.0 (from memory)
NO_METRE = "The file states no metre; its measures are counted as if in 4/4."


class MetreMap(NamedTuple):
    """Metres and measures in the form that scores have."""

    metres: Sequence[MetreChange]  # empty if none is stated
    measures: Sequence[WrittenMeasure]
    remarks: Sequence[str]


def metre_map(stated: Mapping[Fraction, tuple[int, int]], end: Fraction, shown: Path) -> MetreMap:
    """Lay out the measures; a new measure begins at each time signature.

    A first measure with a shorter metre of its own is a pickup, and gets the metre that follows.

    Parameters
    ----------
    stated : mapping
        Numerator and denominator, by onset in quarter notes.
    end : Fraction
        The length of the music in quarter notes, above 0.
    shown : Path
        The path as errors show it.

    Raises
    ------
    ScoreParseError
        If a metre is not valid, or there are too many measures.
    """
    changes = [
        (onset, _metre(numbers, shown)) for onset, numbers in sorted(stated.items()) if onset < end
    ]
    remarks = [] if changes else [NO_METRE]
    metres = (
        changes if not changes or changes[0][0] == 0 else [(Fraction(0), DEFAULT_METRE), *changes]
    )
    stretches = metres or [(Fraction(0), DEFAULT_METRE)]
    onsets: list[Fraction] = []
    for (onset, metre), (following, _) in pairwise([*stretches, (end, DEFAULT_METRE)]):
        count = -((onset - following) // metre.measure_length)
        if len(onsets) + count > MOST_MEASURES:
            raise ScoreParseError(shown, reason=f"it has more than {MOST_MEASURES:,} measures")
        onsets.extend(onset + number * metre.measure_length for number in range(count))
    return MetreMap(
        _without_repetition(_with_pickup(metres)),
        [WrittenMeasure(float(onset), None) for onset in onsets],
        remarks,
    )


def _metre(numbers: tuple[int, int], shown: Path) -> Metre:
    numerator, denominator = numbers
    if not 1 <= numerator <= _MOST_BEATS or denominator not in DENOMINATORS:
        # MIDI stores the exponent of 2, which may be as large as 255: a number of 77 digits.
        lower = str(denominator)
        lower = lower if len(lower) <= _MOST_DIGITS else f"2^{denominator.bit_length() - 1}"
        reason = f"its metre {numerator}/{lower} is not valid"
        raise ScoreParseError(shown, reason=reason)
    return Metre(numerator, denominator)


def _with_pickup(metres: list[tuple[Fraction, Metre]]) -> list[tuple[Fraction, Metre]]:
    if len(metres) < 2:  # noqa: PLR2004 - the pickup and the next one
        return metres
    (_, first), (onset, second), *others = metres
    if onset == first.measure_length < second.measure_length:
        return [(Fraction(0), second), *others]
    return metres


def _without_repetition(metres: list[tuple[Fraction, Metre]]) -> list[MetreChange]:
    return [
        MetreChange(float(onset), metre)
        for place, (onset, metre) in enumerate(metres)
        if place == 0 or metre != metres[place - 1][1]
    ]
