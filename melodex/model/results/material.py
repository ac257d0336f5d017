"""Material: what songs teach each other, as plain arrays; the hand-over from phrases to lessons."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Passages = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Material:
    """Some songs, the time of each in parts, and which parts of one are like parts of another.

    A part is a note, or what of it lies in one measure. Material is counted by the time that parts
    take up, in quarter notes. Parts are numbered from 0 within each song.
    """

    songs: tuple[str, ...]  # ids
    titles: tuple[str, ...]
    levels: tuple[float | None, ...]  # as given; None is unknown
    tunes: tuple[int, ...]  # the number of the first song that is a version of the same tune
    licks: tuple[str, ...]  # names
    first_parts: NDArray[np.int64]  # shape (n_songs + 1,): where each song's parts begin
    durations: NDArray[np.float64]  # shape (n_parts,), quarter notes
    measures: NDArray[np.int32]  # shape (n_parts,), as written
    positions: NDArray[np.float64]  # shape (n_parts,), quarter notes from the bar line
    # shape (n_parts,): the first part of the song with the same place in an equal measure.
    equal_to: NDArray[np.int32]
    # shape (n_passages, 6): song, first part, end; the song that has a passage like it, first part,
    # end. Within one song the passage like it comes earlier.
    passages: Passages
    lick_places: Passages  # shape (n_places, 4): song, lick, first part, end
    # What was described of each song, tags included, in small letters; empty where nobody asked.
    facts: tuple[frozenset[str], ...] = ()
    suggested_levels: tuple[float | None, ...] = ()  # of songs that were given none; () for none

    def __post_init__(self) -> None:
        for name, kind, columns in (
            ("first_parts", np.int64, 0),
            ("durations", np.float64, 0),
            ("measures", np.int32, 0),
            ("positions", np.float64, 0),
            ("equal_to", np.int32, 0),
            ("passages", np.int32, 6),
            ("lick_places", np.int32, 4),
        ):
            array: NDArray[Any] = getattr(self, name)
            private_copy = np.array(array, kind).reshape((-1, columns) if columns else -1)
            private_copy.setflags(write=False)
            object.__setattr__(self, name, private_copy)

    def suggested_level(self, song: int) -> float | None:
        """Return the level suggested for a song; None where it was given one, or has no notes."""
        return self.suggested_levels[song] if self.suggested_levels else None

    def level(self, song: int) -> float | None:
        """Return a song's level: the one given, else the one suggested."""
        given = self.levels[song]
        return self.suggested_level(song) if given is None else given

    def parts_of(self, song: int) -> slice:
        """Return where one song's parts lie in the arrays of all."""
        return slice(int(self.first_parts[song]), int(self.first_parts[song + 1]))
