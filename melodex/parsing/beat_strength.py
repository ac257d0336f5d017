"""How strong each place in a measure is, from the downbeat (1) to a place off every division."""

from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Strengths
from melodex.model.metre import Metre

# The weight of a place, by the coarsest division that touches it: the measure, then three more.
# Source: music21 10.5, TimeSignature.getAccentWeight with its default depth of three divisions.
WEIGHTS = (1.0, 0.5, 0.25, 0.125)
WEIGHT_BETWEEN = WEIGHTS[-1] / 2

# Free metre has only its bar lines to lean on (common practice, no source).
FREE_METRE_FIRST, FREE_METRE_OTHER = 1.0, 0.5

COMPOUND = 3  # units in a beat of 6/8, 9/8, 12/8 and the like

ROUNDING = 1e-6  # of a division: the onsets of tuplets are not exact in binary


def beat_strengths(positions: Beats, metre: Metre) -> Strengths:
    """Weigh places in a measure as music21 weighs them.

    Parameters
    ----------
    positions : shape (n,), float64
        Quarter notes from the start of a full measure; past its end the pattern starts again.
    metre : Metre
        A metre that is not free.

    Returns
    -------
    shape (n,), float64
        1 on the downbeat; 0.5, 0.25, 0.125 on ever finer divisions; 0.0625 between them.

    Examples
    --------
    >>> beat_strengths(np.arange(8) / 2, Metre(4, 4)).tolist()
    [1.0, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125]
    """
    division, weights = _accent_pattern(metre)
    places = positions / division
    nearest = np.rint(places)
    strengths = weights[nearest.astype(np.int64) % len(weights)]
    strengths[np.abs(places - nearest) > ROUNDING] = WEIGHT_BETWEEN
    return strengths


def free_metre_strengths(measure_of_note: NDArray[np.intp]) -> Strengths:
    """Weigh notes without a metre: the first after a bar line is strong, the others are not.

    Parameters
    ----------
    measure_of_note : shape (n,)
        The place in the list of measures that each note stands in, never falling.
    """
    strengths = np.full(len(measure_of_note), FREE_METRE_OTHER)
    strengths[:1] = FREE_METRE_FIRST
    strengths[1:][np.diff(measure_of_note) > 0] = FREE_METRE_FIRST
    return strengths


@lru_cache(maxsize=256)
def _accent_pattern(metre: Metre) -> tuple[float, Strengths]:
    """Return the finest division in quarter notes, and the weight at each of its multiples."""
    parts = [Fraction(metre.numerator)]  # lengths in units of the denominator
    weight_at = {Fraction(0): WEIGHTS[0]}
    for weight in WEIGHTS[1:]:
        parts = _first_division(metre) if len(parts) == 1 else _finer_division(parts)
        place = Fraction(0)
        for part in parts:
            weight_at.setdefault(place, weight)
            place += part
    finest = min(parts)
    weights = np.full(int(metre.numerator / finest), WEIGHT_BETWEEN)
    for place, weight in weight_at.items():
        weights[int(place / finest)] = weight
    return float(finest * 4 / metre.denominator), weights


def _first_division(metre: Metre) -> list[Fraction]:
    """Part a measure into its beats, or into halves where these are a power of two."""
    if metre.groups:
        return [Fraction(group) for group in metre.groups]
    beats = metre.numerator
    if beats > COMPOUND and beats % COMPOUND == 0:
        beats //= COMPOUND
    parts = 2 if beats in {1, 2, 4, 8, 16, 32} else beats
    return [Fraction(metre.numerator, parts)] * parts


def _finer_division(parts: list[Fraction]) -> list[Fraction]:
    """Part each part by three where it is three units long, else in two; then even them out."""
    finer = [part / _divisor(part) for part in parts for _ in range(_divisor(part))]
    while len(set(finer)) > 1:
        shortest = min(finer)
        finer = [
            piece
            for part in finer
            for piece in ([part] if part == shortest else [part / 2, part / 2])
        ]
    return finer


def _divisor(part: Fraction) -> int:
    return COMPOUND if part == COMPOUND else 2
