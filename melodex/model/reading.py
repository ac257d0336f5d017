"""Reading: the result of reading one file."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # commands print failures without importing numpy
    from melodex.model.song import Song


@dataclass(frozen=True, slots=True)
class Failure:
    """A tune, or a whole file, that could not be read."""

    file: str
    tune: str  # its number or title; empty if the whole file failed
    line: int | None
    reason: str  # lower case, no full stop: "measure 7 is longer than its metre"


@dataclass(frozen=True, slots=True)
class Reading:
    """The songs of one file, and its failures."""

    songs: "tuple[Song, ...]"
    failures: tuple[Failure, ...]
