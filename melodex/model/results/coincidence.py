"""Likely coincidences: matches that are no better than expected by chance."""

from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar

# By definition of the level: above 1, at least one other match as good is expected by chance.
HIGHEST_LEVEL_OF_EVIDENCE = 1.0


class WithChanceLevel(Protocol):
    """A record with a chance level."""

    @property
    def expected_by_chance(self) -> float | None:
        """How many matches as good are expected by chance; None is unknown."""
        ...


WithLevel = TypeVar("WithLevel", bound=WithChanceLevel)


def is_likely_coincidence(level: float | None) -> bool:
    """Return whether a match with this chance level is a likely coincidence; if unknown, it is not.

    Examples
    --------
    >>> is_likely_coincidence(1.2), is_likely_coincidence(1.0), is_likely_coincidence(None)
    (True, False, False)
    """
    return level is not None and level > HIGHEST_LEVEL_OF_EVIDENCE


def without_coincidences(found: Sequence[WithLevel]) -> list[WithLevel]:
    """Return the matches that are not likely coincidences, in the same order."""
    return [each for each in found if not is_likely_coincidence(each.expected_by_chance)]


def are_only_coincidences(found: Iterable[WithChanceLevel]) -> bool:
    """Return whether there are matches, and all of them are likely coincidences."""
    levels = [each.expected_by_chance for each in found]
    return bool(levels) and all(map(is_likely_coincidence, levels))
