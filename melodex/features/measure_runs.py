"""Runs of consecutive measures; imports no numpy, since lists of songs need no arrays."""

from collections.abc import Iterable


def runs_of_measures(measures: Iterable[int]) -> list[tuple[int, int]]:
    """Split measures in the order played into runs of consecutive numbers: (first, last).

    Examples
    --------
    >>> runs_of_measures((5, 6, 7)), runs_of_measures((7, 8, 1))
    ([(5, 7)], [(7, 8), (1, 1)])
    """
    runs: list[tuple[int, int]] = []
    for measure in measures:
        if runs and measure == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], measure)
        else:
            runs.append((measure, measure))
    return runs
