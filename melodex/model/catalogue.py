"""Entries of the catalogue: what is known about a song without its notes."""

from dataclasses import dataclass

from melodex.model.demands import TechniqueUse


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
class ListedSong(SongEntry):
    """A song with what is estimated of it."""

    suggested_level: float | None  # where none was given; None: one was, or it has no notes
    level_reasons: tuple[str, ...]  # of the suggested level, what is hardest first
    uses: tuple[str, ...] | None  # techniques; None: it has no tab, so they are unknown
    uses_in: tuple[TechniqueUse, ...] | None  # the same, with the measures


@dataclass(frozen=True, slots=True)
class SongFilter:
    """Which songs are meant: those that match every field given.

    A field of several values accepts any one of them.
    """

    collections: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    metres: tuple[str, ...] = ()
    lowest_level: float | None = None  # a song without a level matches none
    highest_level: float | None = None
    uses: tuple[str, ...] = ()  # techniques
    estimated: bool = False  # whether a level that is only suggested counts as well
    sets: tuple[str, ...] = ()  # names of sets of songs that are saved in the catalogue
    facts: tuple[tuple[str, str], ...] = ()  # (column, value), as described; for each column any

    @property
    def needs_estimates(self) -> bool:
        """Whether it rests on what songs demand, and not only on what is stated of them."""
        return bool(self.uses) or self.estimated


EVERY_SONG = SongFilter()
