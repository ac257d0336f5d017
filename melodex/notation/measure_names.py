"""Measures and half-steps in words, as musicians say them."""

from collections.abc import Sequence

from melodex.features.measure_runs import runs_of_measures


def measures_listed(measures: Sequence[int]) -> str:
    """Return a list of measures in the order played, as text.

    Examples
    --------
    >>> measures_listed((5,)), measures_listed((5, 6, 7)), measures_listed((7, 8, 1))
    ('5', '5-7', '7-8, then 1')
    """
    runs = runs_of_measures(measures)
    names = [f"{first}-{last}" if last > first else str(first) for first, last in runs]
    return ", then ".join(names)


def measures_in_words(measures: Sequence[int]) -> str:
    """Return measures in the order played, in words.

    Examples
    --------
    >>> measures_in_words((5,)), measures_in_words((7, 8, 1))
    ('measure 5', 'measures 7-8, then 1')
    """
    return f"measure{'s'[: len(measures) > 1]} {measures_listed(measures)}"


def half_steps_in_words(half_steps: int) -> str:
    """Return direction and number of half-steps, in words.

    Examples
    --------
    >>> half_steps_in_words(0), half_steps_in_words(1), half_steps_in_words(-5)
    ('as it is', 'up 1', 'down 5')
    """
    if half_steps == 0:
        return "as it is"
    return f"{'up' if half_steps > 0 else 'down'} {abs(half_steps)}"
