"""Descriptions: facts about songs that their scores do not state, such as a level or tags."""

from collections.abc import Mapping
from dataclasses import dataclass

LEVEL, TAGS = "level", "tags"  # the facts that songs are filtered by


@dataclass(frozen=True, slots=True)
class Description:
    """Facts about one song, by name; a fact without values is taken back.

    ``facts["level"]`` holds one number, every other fact holds texts.
    """

    song: str  # the song's id, or its title until it has been looked up
    facts: Mapping[str, tuple[float | str, ...]]


@dataclass(frozen=True, slots=True)
class Unmatched:
    """A line of a CSV that describes no song of the catalogue, or more than one."""

    line: int
    song: str  # as the line names it
    reason: str  # lower case, no full stop


@dataclass(frozen=True, slots=True)
class DescribeReport:
    """What came of describing songs."""

    described: int
    unmatched: tuple[Unmatched, ...]
