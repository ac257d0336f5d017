"""Tunes that share what a test wants them to share, written as ABC."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

Measure: TypeAlias = str | Sequence[int]
"""ABC, or eighth notes as steps on a ladder of naturals."""

LADDER = [
    *(f"{letter}," for letter in "CDEFGAB"),
    *"CDEFGABcdefgab",
    *(f"{letter}'" for letter in "cdefgab"),
]
# Twenty-four measures of eight eighths each, drawn by a fixed seed.
TUNE: list[Measure] = np.random.default_rng(7).integers(4, 16, (24, 8)).tolist()
# What a version has in the sixth and the seventeenth measure.
CHANGED: dict[int, Measure] = {
    5: [20, 20, 20, 20, 21, 21, 20, 20],
    16: [3, 3, 2, 2, 3, 3, 2, 2],
}
VERSION = [CHANGED.get(number, measure) for number, measure in enumerate(TUNE)]


def book(*tunes: tuple[str, str, Sequence[Measure]]) -> str:
    """Write tunes as ABC, each with title, key and measures."""
    return "\n".join(
        f"X:{number}\nT:{title}\nM:4/4\nL:1/8\nK:{key}\n{'|'.join(map(_in_abc, measures))}|]\n"
        for number, (title, key, measures) in enumerate(tunes, start=1)
    )


def _in_abc(measure: Measure) -> str:
    return measure if isinstance(measure, str) else "".join(LADDER[step] for step in measure)


def up_a_fifth(measures: Sequence[Measure]) -> list[Measure]:
    """Write measures in G as the same in D."""
    return [[int(step) + 4 for step in measure] for measure in measures]
