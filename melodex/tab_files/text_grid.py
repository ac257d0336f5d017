"""The grid of text tab: how time becomes characters."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from melodex.model.tablature import CHOKE
from melodex.notation.tab_measures import TabMeasure, exact

MARGIN = 1  # characters between a bar line and the first note
EIGHTH = Fraction(1, 2)  # quarter notes; the widest unit


@dataclass(frozen=True, slots=True)
class Grid:
    """How time becomes characters."""

    unit: Fraction  # quarter notes
    characters: int  # in a unit

    @property
    def stated(self) -> str:
        """The heading that states this grid."""
        return f"Spacing: {self.characters} characters = {self.unit / 4}"

    def column(self, quarter_notes: Fraction) -> int:
        """Return characters from the bar line."""
        return MARGIN + int(quarter_notes / self.unit) * self.characters


def grid_of(measures: Sequence[TabMeasure], chords: frozenset[Fraction] = frozenset()) -> Grid:
    """Return the widest unit on which every note and bar line falls, and its width."""
    places = [
        time - measure.onset
        for measure in measures
        for time in [
            measure.end,
            *(exact(note.onset) for note in measure.notes),
            *(onset for onset in chords if measure.onset < onset < measure.end),
        ]
    ]
    unit = Fraction(1, lcm(*(place.denominator for place in places)))
    notes = [note for measure in measures for note in measure.notes]
    digits = max((len(str(note.fret)) for note in notes), default=1)
    has_chokes = any(note.left_hand == CHOKE for note in notes)
    return Grid(min(unit, EIGHTH), digits + 1 + has_chokes)
