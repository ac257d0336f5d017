"""Where in a song a lick is found: the cheapest paths traced back to notes and measures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.index.song_arrays import SongArrays
from melodex.kernels import subsequence_dtw as dtw
from melodex.search.candidates import Steps


@dataclass(frozen=True, slots=True)
class Place:
    """One stretch of a song that answers a lick."""

    measures: tuple[int, ...]  # as written, in the order played, each entered once
    transposition: int  # half-steps from the lick up to the song
    alignment: tuple[tuple[int, int], ...]  # (note of the lick, note of the song as written)


def cheapest_places(
    songs: SongArrays,
    song: int,
    query: NDArray[np.int32],
    lick_pitches: NDArray[np.int16],
    steps: Steps,
) -> list[Place]:
    """Find every stretch of a song where the lick costs no more than anywhere in it.

    Stretches do not overlap, come in the order played, and one that a repeat plays again is told
    once.

    Parameters
    ----------
    song : int
        Its number in the blocks; it has an interval at least.
    query : shape (n,), int32
        The lick's clipped intervals.
    lick_pitches : shape (n + 1,), int16
    """
    total = dtw.accumulated_costs(query, songs.intervals_of(song), steps.moves)
    ends = np.flatnonzero(total[-1] == total[-1].min())
    paths = [dtw.warping_path(total, int(end), steps.moves) for end in ends]
    kept = _not_overlapping(paths)
    # A repeat plays the same notes again; the same place is told once.
    return list(dict.fromkeys(_place_of(songs, song, path, lick_pitches) for path in kept))


def _not_overlapping(paths: list[NDArray[np.int32]]) -> list[NDArray[np.int32]]:
    """Choose paths that share no interval of the song, the straightest first."""
    kept: list[NDArray[np.int32]] = []
    for path in sorted(paths, key=_bends):
        if all(path[-1, 1] < other[0, 1] or path[0, 1] > other[-1, 1] for other in kept):
            kept.append(path)
    return sorted(kept, key=lambda path: int(path[0, 1]))


def _bends(path: NDArray[np.int32]) -> int:
    """Count the moves that do not pass one interval of both melodies."""
    return int((np.diff(path, axis=0) != 1).any(axis=1).sum())


def _place_of(
    songs: SongArrays, song: int, path: NDArray[np.int32], lick_pitches: NDArray[np.int16]
) -> Place:
    """Turn a path through intervals into answering notes: each interval answers by its end."""
    pairs = np.concatenate([path[:1], path + 1])
    notes = songs.notes_of(song)
    pitches, written = songs.pitches[notes], songs.written[notes]
    measures = songs.measures[notes][pairs[0, 1] : pairs[-1, 1] + 1]
    entered = np.flatnonzero(np.diff(measures, prepend=measures[0] - 1))
    return Place(
        measures=tuple(measures[entered].tolist()),
        transposition=_usual(pitches[pairs[:, 1]].astype(np.int64) - lick_pitches[pairs[:, 0]]),
        alignment=tuple(zip(pairs[:, 0].tolist(), written[pairs[:, 1]].tolist(), strict=True)),
    )


def _usual(differences: NDArray[np.int64]) -> int:
    """Give the commonest of some whole numbers, the one nearest 0 where several are."""
    values, counts = np.unique(differences, return_counts=True)
    commonest = values[counts == counts.max()]
    return int(commonest[np.argmin(np.abs(commonest))])
