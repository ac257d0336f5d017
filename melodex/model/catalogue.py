"""Entries of the catalogue: facts about a song without its notes."""

from dataclasses import dataclass

from melodex.model.demands import TechniqueUse


@dataclass(frozen=True, slots=True)
class SongEntry:
    """One line of the catalogue's list of songs."""

    song: str  # the song's id: a readable word from its title, unique in the catalogue
    title: str
    collection: str
    key: str | None  # "G major"; None if the source states none
    metre: str  # "4/4", or "none" for free metre
    measures: int
    notes: int
    level: float | None
    tags: tuple[str, ...]
    file: str


@dataclass(frozen=True, slots=True)
class ListedSong(SongEntry):
    """A song with its estimated facts."""

    suggested_level: float | None  # for a song without a level; None if it has a level or no notes
    level_reasons: tuple[str, ...]  # reasons for the suggested level, the hardest demand first
    uses: tuple[str, ...] | None  # techniques; None: unknown, because it has no tab
    uses_in: tuple[TechniqueUse, ...] | None  # the same, with the measures


@dataclass(frozen=True, slots=True)
class SongFilter:
    """A selection of songs: those that match every field given.

    A field with several values accepts any of them.
    """

    collections: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    metres: tuple[str, ...] = ()
    lowest_level: float | None = None  # a song without a level does not match
    highest_level: float | None = None
    uses: tuple[str, ...] = ()  # techniques
    estimated: bool = False  # whether suggested levels count as well
    sets: tuple[str, ...] = ()  # names of sets of songs saved in the catalogue
    facts: tuple[tuple[str, str], ...] = ()  # (column, value); any value of a column is accepted

    @property
    def needs_estimates(self) -> bool:
        """Whether the filter uses estimated facts, not only stated ones."""
        return bool(self.uses) or self.estimated


EVERY_SONG = SongFilter()
