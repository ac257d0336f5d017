"""Material: what songs teach, as plain arrays; the hand-over from recurring licks to lessons."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class Material:
    """The licks and the single measures of some songs.

    A measure within a place of a lick belongs to that lick; every other measure is a single one,
    learned by itself. All counts of material are in measures: a lick counts its own length once,
    however often it returns, and so does a single measure.
    """

    songs: tuple[str, ...]  # ids
    titles: tuple[str, ...]
    levels: tuple[float | None, ...]  # None is unknown
    licks: tuple[str, ...]  # names
    lick_measures: NDArray[np.int32]  # shape (n_licks,): the length of each, 1 or more
    places: NDArray[np.int32]  # shape (n_places, 4): song, lick (both from 0), first, last measure
    # shape (n_measures, 3), ordered by song: song, measure as written, and the first measure of
    # that song that has the same notes (itself, where there is none before).
    measures: NDArray[np.int32]

    def __post_init__(self) -> None:
        for name, columns in (("lick_measures", 0), ("places", 4), ("measures", 3)):
            array = getattr(self, name)
            private_copy = np.array(array, np.int32).reshape((-1, columns) if columns else -1)
            private_copy.setflags(write=False)
            object.__setattr__(self, name, private_copy)
