"""Infer note values from the spacing of text tab.

Players space tab evenly: a fret every so many characters, and twice as many after a note twice as
long. The narrowest common step is the unit; if nothing is stated, it is an eighth note.
"""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from melodex.model.metre import FREE_METRE, LARGEST_NUMERATOR, Metre
from melodex.model.tablature import REACHED_BY_LEFT_HAND
from melodex.parsing.tab.tab_measure import TypedNote

EIGHTH = 0.5  # quarter notes
USUAL_SHARE = 0.1  # of all steps; a narrow step that is rarer is a typing error
# Lengths allowed for a unit if only the metre is stated: binary or triplets.
_PLAUSIBLE_UNITS = (1.0, 0.5, 0.25, 0.125, 1 / 3, 1 / 6)
_STATED = re.compile(r"(\d{1,2})\s*characters?\s*=\s*1/(\d{1,3})", re.IGNORECASE)
MARGIN = 1  # characters between a bar line and the first note, if the spacing is stated


@dataclass(frozen=True, slots=True)
class Spacing:
    """How characters correspond to time."""

    characters: int  # characters in a unit
    unit: float  # quarter notes
    margin: int  # characters from a bar line to the first unit
    is_stated: bool

    def place(self, column: int) -> float:
        """Return quarter notes from the bar line, rounded to half units if steps are wide."""
        units = (column - self.margin) / self.characters
        if not self.is_stated and self.characters < _WIDE_ENOUGH:
            return round(units) * self.unit
        return round(units * 2) / 2 * self.unit

    def length(self, width: int) -> float:
        """Return the length in quarter notes of a measure from its width in characters."""
        # Half a unit counts as one: the last note has no dash after it.
        return max(int((width - self.margin) / self.characters + 0.5), 1) * self.unit


_WIDE_ENOUGH = 4  # characters


def stated_spacing(text: str) -> Spacing | None:
    """Parse "2 characters = 1/8"; None for any other text."""
    match = _STATED.fullmatch(text.strip())
    if match is None or not int(match[1]) or not int(match[2]):
        return None
    return Spacing(int(match[1]), 4 / int(match[2]), MARGIN, is_stated=True)


def spacing_of(
    measures: Sequence[Sequence[TypedNote]], widths: Sequence[int], metre: Metre | None
) -> Spacing:
    """Infer the spacing of a text tab that does not state it.

    Parameters
    ----------
    measures : sequence of the notes of each measure
    widths : sequence of int
        Width of each measure in characters.
    metre : Metre or None
        If stated, the unit is chosen so that the usual measure is full; else it is an eighth.
    """
    characters = _usual_step(measures)
    margin = min((notes[0].column for notes in measures if notes), default=0)
    spacing = Spacing(characters, EIGHTH, margin, is_stated=False)
    if metre is None or metre.is_free:
        return spacing
    units = usual_length(map(spacing.length, widths)) / EIGHTH
    unit = float(metre.measure_length) / units
    is_plausible = any(abs(unit - other) < _SAME for other in _PLAUSIBLE_UNITS)
    return Spacing(characters, unit if is_plausible else EIGHTH, margin, is_stated=False)


_SAME = 1e-9


def usual_length(lengths: Iterable[float]) -> float:
    """Return the most common length; of equally common ones the longest."""
    counts = Counter(lengths)
    return max(counts, key=lambda length: (counts[length], length))


def metre_of_length(length: float) -> Metre:
    """Return the metre of a measure from its length in quarter notes, if none is stated.

    A measure longer than any metre is free: its bar lines were not drawn.
    """
    eighths = round(length / EIGHTH)
    if eighths > LARGEST_NUMERATOR:
        return FREE_METRE
    is_compound = eighths in (9, 12)
    return Metre(eighths, 8) if eighths % 2 or is_compound else Metre(eighths // 2, 4)


def _usual_step(measures: Iterable[Sequence[TypedNote]]) -> int:
    """Return the narrowest step that is not rare, ignoring left-hand techniques."""
    steps: Counter[int] = Counter()
    for notes in measures:
        reached = {note.column for note in notes if note.left_hand in REACHED_BY_LEFT_HAND}
        columns = sorted({note.column for note in notes} - reached)
        steps.update(later - earlier for earlier, later in pairwise(columns))
    if not steps:
        return 1
    enough = USUAL_SHARE * steps.total()
    return min(step for step, times in steps.items() if times >= enough)
