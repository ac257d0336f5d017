"""The time of every song of a catalogue, in parts, and which measures of a song are equal."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from melodex.features.written_time import WrittenTime, written_time
from melodex.index.blocks import Blocks
from melodex.index.kept_arrays import Arrays, kept_arrays
from melodex.index.store import Catalogue
from melodex.model.song import Song

TIMES_FILE = "song_times.bin"


@dataclass(frozen=True, slots=True, eq=False)
class SongTimes:
    """The parts of every song's time, as in ``Material``."""

    first_parts: NDArray[np.int64]  # shape (n_songs + 1,)
    notes: NDArray[np.int64]  # the arrays below have shape (n_parts,)
    measures: NDArray[np.int32]
    positions: NDArray[np.float64]
    durations: NDArray[np.float64]
    equal_to: NDArray[np.int32]

    def parts_of(self, song: int) -> slice:
        """Return the slice of the arrays that holds one song's parts."""
        return slice(int(self.first_parts[song]), int(self.first_parts[song + 1]))

    def of_notes(self, song: int, notes: range) -> range:
        """Return the range of a song's parts that belong to a range of its notes."""
        first, end = np.searchsorted(self.notes[self.parts_of(song)], [notes.start, notes.stop])
        return range(int(first), int(end))


def song_times(catalogue: Catalogue, blocks: Blocks) -> SongTimes:
    """Return the time of every song, computed once for each state of the catalogue."""
    return SongTimes(**kept_arrays(blocks, TIMES_FILE, lambda: _times_of(catalogue, blocks)))


def _times_of(catalogue: Catalogue, blocks: Blocks) -> Arrays:
    times: list[WrittenTime] = []
    equal: list[NDArray[np.int32]] = []
    for song_id in blocks.song_ids:
        song = catalogue.song(song_id)
        times.append(written_time(song))
        equal.append(equal_parts(song, times[-1]))
    names = ("notes", "measures", "positions", "durations")
    arrays = {name: np.concatenate([getattr(each, name) for each in times]) for name in names}
    counts = [len(each.notes) for each in times]
    return {
        "first_parts": np.cumsum([0, *counts], dtype=np.int64),
        "equal_to": np.concatenate(equal),
        **arrays,
    }


def equal_parts(song: Song, time: WrittenTime) -> NDArray[np.int32]:
    """Return for each part its counterpart in the first measure that has the same notes.

    Returns
    -------
    shape (n_parts,), int32
        A part's own number if its measure repeats none.
    """
    parts = np.arange(len(time.notes), dtype=np.int32)
    if not len(parts):
        return parts
    pitches = song.melody.pitches[time.notes]
    begins: list[int] = (np.flatnonzero(np.diff(time.measures) != 0) + 1).tolist()
    bounds = [0, *begins, len(parts)]
    first_with: dict[bytes, int] = {}
    for first, end in pairwise(bounds):
        rhythm = np.round(np.stack([time.positions[first:end], time.durations[first:end]]), 6)
        content = rhythm.tobytes() + pitches[first:end].tobytes()
        parts[first:end] = first_with.setdefault(content, first) + np.arange(end - first)
    return parts
