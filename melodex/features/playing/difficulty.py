"""Grade how difficult a song is: 1 to 5 for each demand on the player, and overall.

Graded syllabuses set pieces by range, leaps, rhythm, speed and what each hand has to do (common
practice, no source). A demand has grade 3 if it is in the middle fifth of the bundled tunes (folk
songs and dance tunes), and so on; a song's difficulty is the mean of its grades. Equal weights
predict nearly as well as fitted ones, and need no training examples.

Source of the equal weights: Dawes, "The robust beauty of improper linear models in decision
making", American Psychologist 34, 1979 (from memory).
"""

from bisect import bisect_right
from collections.abc import Callable
from operator import attrgetter
from typing import NamedTuple, TypeAlias

from melodex.model.demands import Demands, HandDemands

Fifths: TypeAlias = tuple[float, float, float, float]
HARDEST = 5  # the highest grade, and the highest level


class Side(NamedTuple):
    """A demand that songs make on the player, and the quintiles of its values."""

    fifths: Fifths  # a demand that reaches n of them has grade n + 1
    value: Callable[[Demands], float]


class HandsSide(NamedTuple):
    """A demand on the hands, known only from tab."""

    fifths: Fifths
    value: Callable[[HandDemands], float]


# Measured by tests/benchmarks/level_grades.py on 12,760 bundled tunes, 2026-11-29; those of the
# hands on 200 of them, arranged by ``arrange``, equally many in each stage.
SIDES = {
    "range": Side((12, 13, 15, 17), attrgetter("half_steps")),
    "leaps": Side((0.0625, 0.0989, 0.1359, 0.186), attrgetter("leaps")),
    "rhythm": Side((0.2391, 0.375, 0.4769, 0.5972), attrgetter("uneven")),
    "speed": Side((1.65, 2.0, 2.4375, 3.4331), attrgetter("notes_per_second")),
}
SIDES_OF_HANDS = {
    "left hand": HandsSide((1.5, 2.0974, 2.7092, 3.8698), attrgetter("moves")),
    "position": HandsSide((5, 5, 7, 10), attrgetter("highest_fret")),
    "right hand": HandsSide((0.6667, 0.7647, 0.875, 1.0), attrgetter("variety")),
}
# Quintiles of the mean grades of the same tunes. The means are multiples of a quarter; each
# limit is halfway between those nearest to a fifth. The levels have 20, 19, 24, 21 and 16 % of the
# tunes.
LEVEL_FIFTHS: Fifths = (2.375, 2.875, 3.375, 3.875)


def grades_of(demands: Demands) -> dict[str, int]:
    """Return the grade, 1 to 5, of each known demand of a song, by name."""
    grades = {name: _grade(side.value(demands), side.fifths) for name, side in SIDES.items()}
    if demands.hands is not None:
        for name, side in SIDES_OF_HANDS.items():
            grades[name] = _grade(side.value(demands.hands), side.fifths)
    return grades


def difficulty_of(demands: Demands) -> float:
    """Return a song's difficulty: the mean of its grades, 1 to 5."""
    grades = grades_of(demands).values()
    return sum(grades) / len(grades)


def level_of(difficulty: float) -> int:
    """Return the level, 1 to 5, for a difficulty; each has about a fifth of the bundled tunes."""
    return _grade(difficulty, LEVEL_FIFTHS)


def _grade(value: float, fifths: Fifths) -> int:
    return 1 + bisect_right(fifths, value)
