"""Metric weight of each position in a measure, from the downbeat (1) to the weakest."""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Strengths
from melodex.model.metre import Metre

# Metric weights, by the coarsest division that a position falls on: the measure, then three finer
# ones. Source: music21 10.5, TimeSignature.getAccentWeight with its default depth of three
# divisions.
WEIGHTS = (1.0, 0.5, 0.25, 0.125)
WEIGHT_BETWEEN = WEIGHTS[-1] / 2

UNKNOWN = 0.0

COMPOUND = 3  # units in a beat of 6/8, 9/8, 12/8 and other compound metres

ROUNDING = 1e-6  # as a share of a division: the onsets of tuplets are not exact in binary


def beat_strengths(positions: Beats, metre: Metre) -> Strengths:
    """Return the metric weight of positions in a measure, as music21 defines it.

    Parameters
    ----------
    positions : shape (n,), float64
        Quarter notes from the start of a full measure; the pattern repeats past its end.
    metre : Metre
        Any metre except free metre.

    Returns
    -------
    shape (n,), float64
        1 on the downbeat; 0.5, 0.25, 0.125 on finer and finer divisions; 0.0625 between them. In a
        metre written in groups, 0.5 where a group starts, 0.25 on the beats inside the groups.

    Examples
    --------
    >>> beat_strengths(np.arange(8) / 2, Metre(4, 4)).tolist()
    [1.0, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
    >>> beat_strengths(np.arange(8) / 2, Metre(8, 8, (5, 3))).tolist()
    [1.0, 0.25, 0.25, 0.25, 0.25, 0.5, 0.25, 0.25]
    """
    division, weights = _accent_pattern(metre)
    places = positions / division
    nearest = np.rint(places)
    strengths = weights[nearest.astype(np.int64) % len(weights)]
    strengths[np.abs(places - nearest) > ROUNDING] = WEIGHT_BETWEEN
    return strengths


def free_metre_strengths(measure_of_note: NDArray[np.intp]) -> Strengths:
    """Return weights without a metre: 1 for the first note after a bar line, unknown for the rest.

    In free metre only the bar lines indicate an accent (common practice, no source).

    Parameters
    ----------
    measure_of_note : shape (n,)
        The index of each note's measure, ascending.
    """
    strengths = np.full(len(measure_of_note), UNKNOWN)
    strengths[1:][np.diff(measure_of_note) > 0] = WEIGHTS[0]
    return strengths


@lru_cache(maxsize=256)
def _accent_pattern(metre: Metre) -> tuple[float, Strengths]:
    """Return the finest division in quarter notes, and the weight at each of its multiples."""
    weight_at = {Fraction(0): WEIGHTS[0]}
    divisions = list(_divisions(metre))
    for weight, parts in zip(WEIGHTS[1:], divisions, strict=True):
        for place in accumulate(parts, initial=Fraction(0)):
            weight_at.setdefault(place, weight)
    finest = min(divisions[-1])
    weights = np.full(int(metre.numerator / finest), WEIGHT_BETWEEN)
    for place, weight in weight_at.items():
        if place < metre.numerator:
            weights[int(place / finest)] = weight
    return float(finest * 4 / metre.denominator), weights


def _divisions(metre: Metre) -> Iterator[list[Fraction]]:
    """Yield three ever finer divisions of a measure; lengths in units of the denominator.

    A metre written in groups is divided into its groups, these into beats, and the beats into two
    or three; any other metre into its beats or halves, then every part into two or three.
    """
    parts = _groups(metre)
    yield parts
    beat_of = _beat_of_group if metre.groups else _half_or_third
    for division_of in (beat_of, _half_or_third):
        parts = [
            division
            for part in parts
            for division in [division_of(part)] * int(part / division_of(part))
        ]
        yield parts


def _groups(metre: Metre) -> list[Fraction]:
    """Return the groups of a measure as written, else its beats, or halves if it has 2**n beats."""
    if metre.groups:
        return [Fraction(group) for group in metre.groups]
    beats = metre.numerator / _beat_of_group(Fraction(metre.numerator))
    parts = 2 if beats in {1, 2, 4, 8, 16, 32} else int(beats)
    return [Fraction(metre.numerator, parts)] * parts


def _beat_of_group(group: Fraction) -> Fraction:
    """Return the length of a beat: three units in compound metres such as 6/8, else one."""
    is_compound = group > COMPOUND and group % COMPOUND == 0
    return Fraction(COMPOUND if is_compound else 1)


def _half_or_third(part: Fraction) -> Fraction:
    return part / COMPOUND if part == COMPOUND else part / 2
