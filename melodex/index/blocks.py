"""The derived arrays that a search scans, memory-mapped beside the catalogue.

They hold every song as played, so that a lick is also found across the seam of a repeat. They are
kept in one folder for each state of the catalogue's melodies, written whole under a passing name
and then renamed: a reader sees all of a state or nothing of it.
"""

import shutil
import tempfile
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.errors import CatalogueError
from melodex.features.intervals import LARGEST_INTERVAL
from melodex.index.song_arrays import Performance, SongArrays, join_performances, perform
from melodex.index.store import Catalogue
from melodex.kernels.subsequence_dtw import LANES

# Part of the folder's name: raise it whenever what the arrays hold changes.
FORMAT = 9
_UNUSED_CELL = 255
_IDS_FILE = "song_ids.txt"


@dataclass(frozen=True, slots=True, eq=False)
class Lanes:
    """All songs' intervals in blocks of ``LANES`` songs side by side, short songs first."""

    cells: NDArray[np.uint8]  # shape (n_cells,), interval + LARGEST_INTERVAL, block after block
    starts: NDArray[np.int64]  # shape (n_blocks,), where each block begins in `cells`
    lengths: NDArray[np.int32]  # shape (n_blocks, LANES), intervals of each song, rising
    songs: NDArray[np.int32]  # shape (n_blocks, LANES), song numbers; -1 in an empty lane


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """The derived arrays of one state of a catalogue."""

    song_ids: tuple[str, ...]  # rising; a song's place here is its number in the arrays
    songs: SongArrays
    lanes: Lanes
    folder: Path | None = None  # where they are mapped from; None for arrays in memory


def load_blocks(catalogue: Catalogue) -> Blocks:
    """Open the derived arrays of a catalogue, building them first where they are stale.

    Raises
    ------
    CatalogueError
        If they cannot be written beside the catalogue.
    """
    try:
        return _open(_folder_in_order(catalogue))
    except (FileNotFoundError, ValueError):
        # Cleared away since by a process that saw a newer state, or damaged: once more, anew.
        shutil.rmtree(_home(catalogue), ignore_errors=True)
        return _open(_folder_in_order(catalogue))


def _folder_in_order(catalogue: Catalogue) -> Path:
    """Give the folder of the catalogue's present state, written first where there is none."""
    folder = _home(catalogue) / f"{FORMAT}-{catalogue.melody_version()}"
    if not folder.is_dir():
        try:
            _write_whole(gather(catalogue), folder)
        except OSError as error:
            raise CatalogueError(
                f"Cannot write the search arrays {folder}: {error.strerror or error}.",
                "free some space, or make that folder writable.",
            ) from error
        _remove_others(folder)
    return folder


def gather(catalogue: Catalogue) -> Blocks:
    """Compute the derived arrays from the catalogue's melodies."""
    ids: list[str] = []
    performances: list[Performance] = []
    for song_id, melody, sections in catalogue.melodies():
        ids.append(song_id)
        performances.append(perform(melody, sections))
    songs = join_performances(performances)
    return Blocks(tuple(ids), songs, lay_side_by_side(songs.intervals, songs.first_intervals))


def lay_side_by_side(intervals: NDArray[np.int8], first: NDArray[np.int64]) -> Lanes:
    """Lay songs' intervals out in blocks of ``LANES`` songs of nearly equal length.

    Parameters
    ----------
    intervals : shape (n_intervals,), int8
        Half-steps within +-LARGEST_INTERVAL, one song after the other.
    first : shape (n_songs + 1,), int64
        Where each song begins.
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


def _home(catalogue: Catalogue) -> Path:
    return catalogue.path.with_name(catalogue.path.name + ".arrays")


def _write_whole(blocks: Blocks, folder: Path) -> None:
    folder.parent.mkdir(exist_ok=True)
    passing = Path(tempfile.mkdtemp(prefix="new-", dir=folder.parent))
    try:
        for record in (blocks.songs, blocks.lanes):
            for field in fields(record):
                path = passing / f"{type(record).__name__}.{field.name}.npy"
                np.save(path, getattr(record, field.name))
        (passing / _IDS_FILE).write_text("\n".join(blocks.song_ids), encoding="utf-8")
        try:
            passing.rename(folder)
        except OSError:
            if not folder.is_dir():  # else another process was first with the same arrays
                raise
    finally:
        shutil.rmtree(passing, ignore_errors=True)


def _open(folder: Path) -> Blocks:
    ids = (folder / _IDS_FILE).read_text(encoding="utf-8")
    return Blocks(
        tuple(ids.split("\n")) if ids else (),
        SongArrays(**_memory_map(folder, SongArrays)),
        Lanes(**_memory_map(folder, Lanes)),
        folder,
    )


def _memory_map(folder: Path, record: type[SongArrays] | type[Lanes]) -> dict[str, Any]:
    return {
        # As a plain array: slices of a memmap take longer to make.
        field.name: np.asarray(
            np.load(folder / f"{record.__name__}.{field.name}.npy", mmap_mode="r")
        )
        for field in fields(record)
    }


def _remove_others(folder: Path) -> None:
    """Clear away arrays of earlier states; a reader that has them mapped keeps them."""
    for other in folder.parent.iterdir():
        if other != folder and not other.name.startswith("new-"):
            shutil.rmtree(other, ignore_errors=True)
