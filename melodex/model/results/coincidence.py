"""Likely coincidences: matches that are no better than what chance would bring."""

from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar

# By the meaning of the level: above 1, chance alone is expected to bring another match as good.
HIGHEST_LEVEL_OF_EVIDENCE = 1.0


class WithChanceLevel(Protocol):
    """A record that says how many like it are expected by chance."""

    @property
    def expected_by_chance(self) -> float | None:
        """How many as good are expected by chance; None is unknown."""
        ...


Found = TypeVar("Found", bound=WithChanceLevel)


def is_likely_coincidence(level: float | None) -> bool:
    """Return whether a match with this chance level is likely coincidence; unknown is not.

    Examples
    --------
    >>> is_likely_coincidence(1.2), is_likely_coincidence(1.0), is_likely_coincidence(None)
    (True, False, False)
    """
    return level is not None and level > HIGHEST_LEVEL_OF_EVIDENCE


def without_coincidences(found: Sequence[Found]) -> list[Found]:
    """Return the matches that are not likely coincidence, in their order."""
    return [each for each in found if not is_likely_coincidence(each.expected_by_chance)]


def are_only_coincidences(found: Iterable[WithChanceLevel]) -> bool:
    """Return whether something was found and all of it is likely coincidence."""
    levels = [each.expected_by_chance for each in found]
    return bool(levels) and all(map(is_likely_coincidence, levels))
