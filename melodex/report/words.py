"""Numbers of measures and half-steps as a musician says them."""

from collections.abc import Sequence


def measures_in_words(measures: Sequence[int]) -> str:
    """Name measures in the order played.

    Examples
    --------
    >>> measures_in_words((5,)), measures_in_words((5, 6, 7)), measures_in_words((7, 8, 1))
    ('measure 5', 'measures 5-7', 'measures 7-8, then 1')
    """
    runs: list[list[int]] = []
    for measure in measures:
        if runs and measure == runs[-1][-1] + 1:
            runs[-1].append(measure)
        else:
            runs.append([measure])
    names = [f"{run[0]}-{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs]
    return f"measure{'s'[: len(measures) > 1]} {', then '.join(names)}"


def half_steps_in_words(half_steps: int) -> str:
    """Say how far and which way.

    Examples
    --------
    >>> half_steps_in_words(0), half_steps_in_words(1), half_steps_in_words(-5)
    ('same key', 'up 1 half-step', 'down 5 half-steps')
    """
    if half_steps == 0:
        return "same key"
    size = abs(half_steps)
    return f"{'up' if half_steps > 0 else 'down'} {size} half-step{'s'[: size > 1]}"
