"""Estimates about the songs of a catalogue: techniques, and levels where none were given."""

from dataclasses import fields, replace
from typing import TYPE_CHECKING

from melodex.index.kept_demands import demands_in, given_levels_in, level_scale_in
from melodex.index.store import Catalogue
from melodex.model.catalogue import ListedSong, SongEntry
from melodex.model.demands import TechniqueUse

if TYPE_CHECKING:
    from melodex.model.results.material import (
        Material,  # it imports numpy, which a list of songs does not need
    )


def techniques_in(catalogue: Catalogue) -> list[str]:
    """List the techniques that the songs of a catalogue use, sorted."""
    every = demands_in(catalogue).values()
    return sorted({use.technique for demands in every for use in demands.uses or ()})


class Estimates:
    """Estimates about the songs of one state of a catalogue."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._demands = demands_in(catalogue)
        self._scale = level_scale_in(catalogue, self._demands)
        self._given = given_levels_in(catalogue)

    def suggested_level(self, song: str) -> float | None:
        """Return the level suggested for a song; None if it was given one, or has no notes."""
        if song in self._given or song not in self._demands:
            return None
        return self._scale.level(self._demands[song])

    def level_reasons(self, song: str) -> tuple[str, ...]:
        """Return the reasons for a song's suggested level; empty if it has none."""
        if self.suggested_level(song) is None:
            return ()
        return self._scale.reasons(self._demands[song])

    def uses(self, song: str) -> tuple[TechniqueUse, ...] | None:
        """Return the techniques that a song's tab uses; None if it has no tab."""
        return self._demands[song].uses if song in self._demands else None

    def with_suggested_levels(self, material: "Material") -> "Material":
        """Add to a material the levels suggested for its songs."""
        return replace(material, suggested_levels=tuple(map(self.suggested_level, material.songs)))

    def listed(self, entry: SongEntry) -> ListedSong:
        """Return the facts of a song together with its estimates."""
        uses = self.uses(entry.song)
        return ListedSong(
            **{field.name: getattr(entry, field.name) for field in fields(SongEntry)},
            suggested_level=self.suggested_level(entry.song),
            level_reasons=self.level_reasons(entry.song),
            uses=None if uses is None else tuple(use.technique for use in uses),
            uses_in=uses,
        )
