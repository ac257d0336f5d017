"""The derived arrays that a search scans, memory-mapped.

They hold every song as played, so that a lick is also found across a repeat. A file holds the
arrays of one state of the catalogue's melodies.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.features.intervals import LARGEST_INTERVAL
from melodex.index.array_files import arrays_in, content_of, mapped
from melodex.index.derived_files import DerivedFiles
from melodex.index.song_arrays import Performance, SongArrays, join_performances, perform
from melodex.index.store import Catalogue
from melodex.kernels.subsequence_dtw import LANES
from melodex.model.key import key_named

ARRAYS_FILE = "arrays.bin"
_UNUSED_CELL = 255


@dataclass(frozen=True, slots=True, eq=False)
class Lanes:
    """All songs' intervals in blocks of ``LANES`` songs side by side, short songs first."""

    cells: NDArray[np.uint8]  # shape (n_cells,), interval + LARGEST_INTERVAL, block after block
    starts: NDArray[np.int64]  # shape (n_blocks,), start of each block in `cells`
    lengths: NDArray[np.int32]  # shape (n_blocks, LANES), intervals of each song, sorted ascending
    songs: NDArray[np.int32]  # shape (n_blocks, LANES), song numbers; -1 in an empty lane


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """The derived arrays of one state of a catalogue."""

    song_ids: tuple[str, ...]  # sorted ascending; a song's index here is its number in the arrays
    songs: SongArrays
    lanes: Lanes
    files: DerivedFiles | None = None  # other files derived from the same state


def load_blocks(catalogue: Catalogue) -> Blocks:
    """Return the derived arrays of a catalogue, computed if they are missing or damaged.

    If they cannot be stored, they are only in memory.
    """
    state = catalogue.melody_version()
    files = DerivedFiles.of(catalogue.path, state)
    kept = files.read(ARRAYS_FILE, _read_arrays)
    if kept is None:
        line, *parts = _content_of(gather(catalogue))
        if catalogue.melody_version() == state:  # else another process added songs
            files.write(ARRAYS_FILE, [line, *parts])
            kept = files.read(ARRAYS_FILE, _read_arrays)
        # Read-only like mapped arrays, since kernels are compiled for those.
        kept = kept or _blocks_of(*arrays_in(line, np.frombuffer(b"".join(parts), np.uint8)))
    return replace(kept, files=files)


def gather(catalogue: Catalogue) -> Blocks:
    """Compute the derived arrays from the catalogue's melodies."""
    ids: list[str] = []
    performances: list[Performance] = []
    for song_id, melody, sections, key in catalogue.melodies():
        ids.append(song_id)
        performances.append(perform(melody, sections, key_named(key)))
    songs = join_performances(performances)
    return Blocks(tuple(ids), songs, lay_side_by_side(songs.intervals, songs.first_intervals))


def lay_side_by_side(intervals: NDArray[np.int8], first: NDArray[np.int64]) -> Lanes:
    """Arrange songs' intervals in blocks of ``LANES`` songs of similar length.

    Parameters
    ----------
    intervals : shape (n_intervals,), int8
        Half-steps within +-LARGEST_INTERVAL, song after song.
    first : shape (n_songs + 1,), int64
        The start of each song.
    """
    lengths_of_songs = np.diff(first)
    by_length = np.argsort(lengths_of_songs, kind="stable")
    empty_lanes = -len(by_length) % LANES
    songs = np.concatenate([np.full(empty_lanes, -1), by_length]).astype(np.int32)
    lengths = np.concatenate([np.zeros(empty_lanes), lengths_of_songs[by_length]])
    songs, lengths = songs.reshape(-1, LANES), lengths.astype(np.int32).reshape(-1, LANES)
    sizes = lengths[:, -1].astype(np.int64) * LANES
    starts = np.cumsum(sizes) - sizes
    cells = np.full(int(sizes.sum()), _UNUSED_CELL, np.uint8)
    for start, size, block_songs, block_lengths in zip(starts, sizes, songs, lengths, strict=True):
        block = cells[start : start + size].reshape(-1, LANES)
        used = np.arange(len(block)) < block_lengths[:, np.newaxis]
        in_order = [intervals[first[song] : first[song + 1]] for song in block_songs if song >= 0]
        block.T[used] = np.concatenate(in_order) + LARGEST_INTERVAL
    return Lanes(cells, starts, lengths, songs)


def _content_of(blocks: Blocks) -> Iterator[bytes]:
    """Yield the content of a file of arrays."""
    arrays = {
        f"{type(record).__name__}.{field.name}": getattr(record, field.name)
        for record in (blocks.songs, blocks.lanes)
        for field in fields(record)
    }
    return content_of(arrays, song_ids=blocks.song_ids)


def _blocks_of(listed: dict[str, Any], arrays: dict[str, NDArray[Any]]) -> Blocks:
    songs = SongArrays(**_named(arrays, SongArrays))
    return Blocks(tuple(listed["song_ids"]), songs, Lanes(**_named(arrays, Lanes)))


def _read_arrays(path: Path) -> Blocks:
    return _blocks_of(*mapped(path))


def _named(
    arrays: dict[str, NDArray[Any]], record: type[SongArrays] | type[Lanes]
) -> dict[str, Any]:
    return {field.name: arrays[f"{record.__name__}.{field.name}"] for field in fields(record)}
