"""Describe techniques and estimated levels in words."""

from collections.abc import Iterable, Sequence

from melodex.features.measure_runs import runs_of_measures
from melodex.features.playing.technique_names import technique_key
from melodex.model.demands import TechniqueUse
from melodex.report.lesson_words import spans_in_words


def level_in_words(level: float | None, suggested: float | None) -> str:
    """Return the stated level, else the estimated one; an empty text if both are unknown.

    Examples
    --------
    >>> level_in_words(2.0, None), level_in_words(None, 3.0), level_in_words(None, None)
    ('2', '3 (estimated)', '')
    """
    if level is not None:
        return f"{level:g}"
    return "" if suggested is None else f"{suggested:g} (estimated)"


def uses_in_words(uses: Sequence[TechniqueUse] | None) -> str:
    """Return techniques with the measures in which a song uses them.

    Examples
    --------
    >>> uses_in_words((TechniqueUse("slide", (3, 4, 5, 9)), TechniqueUse("capo", ())))
    'slide (measures 3-5, 9), capo'
    """
    return ", ".join(
        f"{use.technique} ({spans_in_words(runs_of_measures(use.measures))})"
        if use.measures
        else use.technique
        for use in uses or ()
    )


def of_these(uses: Iterable[TechniqueUse] | None, names: Sequence[str]) -> list[TechniqueUse]:
    """Return the uses of techniques with any of the given names, in any spelling."""
    keys = {technique_key(name) for name in names}
    return [use for use in uses or () if technique_key(use.technique) in keys]
