"""Express durations as note values."""

from fractions import Fraction
from typing import NamedTuple


class NoteValue(NamedTuple):
    """A written note value, such as an eighth, possibly dotted or in a triplet."""

    length: Fraction  # quarter notes
    name: str  # its name in MusicXML: "eighth", "16th"
    dots: int
    tuplet: tuple[int, int]  # notes, in the time of how many; (1, 1) for none


_NAMES = ("whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th")
_DOTTED = (Fraction(1), Fraction(3, 2), Fraction(7, 4))  # factors by number of dots
_TUPLETS = ((1, 1), (3, 2), (5, 4), (7, 4), (9, 8))
_SHORTEST_DOTTED = Fraction(1, 16)


def _values() -> list[NoteValue]:
    values: dict[Fraction, NoteValue] = {}
    for tuplet in _TUPLETS:
        for power, name in enumerate(_NAMES):
            plain = Fraction(4, 2**power) * Fraction(tuplet[1], tuplet[0])
            for dots, longer in enumerate(_DOTTED if tuplet == (1, 1) else _DOTTED[:1]):
                length = plain * longer
                values.setdefault(length, NoteValue(length, name, dots, tuplet))
    return sorted(values.values(), reverse=True)


_VALUES = _values()
LONGEST_VALUE = _VALUES[0].length  # a whole note with two dots: 7 quarter notes


def note_values(length: Fraction) -> list[NoteValue]:
    """Express a length as tied note values, the longest first.

    Parameters
    ----------
    length : Fraction
        Quarter notes, above 0.

    Returns
    -------
    list of NoteValue
        Their lengths add up to ``length``, except for a remainder shorter than the shortest value.
    """
    exact = next((value for value in _VALUES if value.length == length), None)
    if exact:
        return [exact]
    parts: list[NoteValue] = []
    left = length
    while left > 0:
        fitting = [value for value in _VALUES if value.length <= left]
        if not fitting:
            break
        whole = [value for value in fitting if _is_simpler(left - value.length, left)]
        parts.append((whole or fitting)[0])
        left -= parts[-1].length
    return parts


def _is_simpler(rest: Fraction, length: Fraction) -> bool:
    """Return whether a remainder has no larger denominator, so that the loop ends."""
    return rest.denominator <= length.denominator
