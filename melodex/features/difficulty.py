"""How hard a song is: a grade of 1 to 5 for each thing that it demands, and all together.

A graded syllabus sets pieces by their range, leaps, rhythm, speed and what each hand has to do
(common practice, no source). Here a demand has grade 3 if it is in the middle fifth of the bundled
tunes, folk songs and dance tunes, and so on; a song is as hard as the mean of its grades. Equal
weights judge nearly as well as fitted ones, and need no examples to fit them to.

Source of the equal weights: Dawes, "The robust beauty of improper linear models in decision
making", American Psychologist 34, 1979 (from memory).
"""

from bisect import bisect_right
from collections.abc import Callable
from operator import attrgetter
from typing import NamedTuple, TypeAlias

from melodex.model.demands import Demands, Hands

Fifths: TypeAlias = tuple[float, float, float, float]
HARDEST = 5  # the highest grade, and level


class Side(NamedTuple):
    """Something that songs demand more or less of."""

    fifths: Fifths  # a demand as great as n of them has grade n + 1
    value: Callable[[Demands], float]


class HandsSide(NamedTuple):
    """The same for what only tab shows."""

    fifths: Fifths
    value: Callable[[Hands], float]


# Measured by tests/benchmarks/level_grades.py on 12,760 bundled tunes, 2026-11-29; those of the
# hands on 200 of them that ``arrange`` arranged, as many in each stage.
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
# Of the mean grades of the same tunes, which go up by quarters: between those where a fifth ends
# most nearly. The levels have 20, 19, 24, 21 and 16 tunes in 100.
LEVEL_FIFTHS: Fifths = (2.375, 2.875, 3.375, 3.875)


def grades_of(demands: Demands) -> dict[str, int]:
    """Return the grade, 1 to 5, of each thing that is known of a song, by name."""
    grades = {name: _grade(side.value(demands), side.fifths) for name, side in SIDES.items()}
    if demands.hands is not None:
        for name, side in SIDES_OF_HANDS.items():
            grades[name] = _grade(side.value(demands.hands), side.fifths)
    return grades


def difficulty_of(demands: Demands) -> float:
    """Return how hard a song is, the mean of its grades, 1 to 5."""
    grades = grades_of(demands).values()
    return sum(grades) / len(grades)


def level_of(difficulty: float) -> int:
    """Return the level, 1 to 5, of a song so hard; each is about a fifth of the bundled tunes."""
    return _grade(difficulty, LEVEL_FIFTHS)


def _grade(value: float, fifths: Fifths) -> int:
    return 1 + bisect_right(fifths, value)
