"""Descriptions: facts about songs that are not in their scores, such as a level or tags."""

from collections.abc import Mapping
from dataclasses import dataclass

LEVEL, TAGS = "level", "tags"  # facts with a special meaning for filters


@dataclass(frozen=True, slots=True)
class Description:
    """Facts about one song, by name; a fact without values is removed.

    ``facts["level"]`` is one number, every other fact is a tuple of texts.
    """

    song: str  # the song's id, or its title until it is resolved
    facts: Mapping[str, tuple[float | str, ...]]


@dataclass(frozen=True, slots=True)
class Unmatched:
    """A line of a CSV that matches no song of the catalogue, or several."""

    line: int
    song: str  # as written in the line
    reason: str  # lower case, no full stop


@dataclass(frozen=True, slots=True)
class DescribeReport:
    """The result of describing songs."""

    described: int
    unmatched: tuple[Unmatched, ...]
