"""Arrays restricted to some songs, so that comparing these often costs nothing for the others."""

from dataclasses import fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.index.song_arrays import SongArrays

_OF_INTERVALS = "intervals"
_BEGINNINGS = ("first_notes", "first_intervals")
_OF_SONGS = "song_"  # prefix of fields with one value for each song
_OF_KINDS = "kind_"  # prefix of fields with one value for each kind of note


def only_songs(songs: SongArrays, numbers: NDArray[np.int64]) -> SongArrays:
    """Copy the arrays of some songs, renumbered in the order given.

    Parameters
    ----------
    numbers : shape (n_chosen,)
    """
    notes = _places(songs.first_notes, numbers)
    arrays: dict[str, NDArray[Any]] = {}
    for field in fields(songs):
        array: NDArray[Any] = getattr(songs, field.name)
        if field.name in _BEGINNINGS:
            sizes = array[numbers + 1] - array[numbers]
            arrays[field.name] = np.insert(np.cumsum(sizes), 0, 0)
        elif field.name == _OF_INTERVALS:
            arrays[field.name] = array[_places(songs.first_intervals, numbers)]
        elif field.name.startswith(_OF_KINDS):
            arrays[field.name] = array
        else:
            arrays[field.name] = array[numbers if field.name.startswith(_OF_SONGS) else notes]
    return SongArrays(**arrays)


def _places(first: NDArray[np.int64], numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the indices of some songs' notes in the joined arrays, song after song."""
    sizes = first[numbers + 1] - first[numbers]
    begins_anew = np.cumsum(sizes) - sizes
    moved_by: NDArray[np.int64] = np.repeat(first[numbers] - begins_anew, sizes)
    return moved_by + np.arange(len(moved_by))
