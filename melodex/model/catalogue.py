"""Entries of the catalogue: what is known about a song without its notes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SongEntry:
    """One line of the catalogue's list."""

    song: str  # the song's id: a readable word from its title, unique in the catalogue
    title: str
    collection: str
    key: str | None  # "G major"; None where the source states none
    metre: str  # "4/4", or "none" for free metre
    measures: int
    notes: int
    level: float | None
    tags: tuple[str, ...]
    file: str


@dataclass(frozen=True, slots=True)
class SongFilter:
    """Which songs are meant: those that answer to every field given.

    A field of several values accepts any one of them.
    """

    collections: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    metres: tuple[str, ...] = ()
    lowest_level: float | None = None  # a song without a level answers to no level
    highest_level: float | None = None


EVERY_SONG = SongFilter()
