"""Search songs for a melodic shape, comparing it with every stretch of every song."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.contour import WIDEST_STEP
from melodex.index.song_arrays import SongArrays
from melodex.model.shape import Move, Shape

# Durations that differ by less are equal: those of tuplets are not exact in binary.
ROUNDING = 1e-6


class ShapePlace(NamedTuple):
    """A stretch of a song that follows a shape."""

    measures: tuple[int, ...]  # as written, in the order played, without immediate repetitions
    notes: tuple[int, ...]  # indices in the melody as written


def moves_followed(shape: Shape, songs: SongArrays) -> NDArray[np.bool_]:
    """Return which intervals of the songs follow which moves of a shape.

    Returns
    -------
    shape (n_moves, n_intervals), bool
        Intervals in the order of ``songs.intervals``.
    """
    song_of_interval = np.repeat(np.arange(songs.n_songs), np.diff(songs.first_intervals))
    reached = np.arange(len(songs.intervals)) + song_of_interval + 1  # second note of each interval
    growth = songs.durations[reached] / songs.durations[reached - 1]
    return np.stack([_follows(move, songs.intervals, growth) for move in shape.moves])


def stretches(
    followed: NDArray[np.bool_], songs: SongArrays
) -> tuple[NDArray[np.int16], NDArray[np.int64]]:
    """Return how many moves of the shape each stretch follows.

    Parameters
    ----------
    followed : shape (n_moves, n_intervals), bool

    Returns
    -------
    counts : shape (n_intervals,), int16
        For the stretch that begins with each interval; -1 if the song ends within it.
    best : shape (n_songs,), int64
        The highest count of each song; -1 if the song has no such stretch.
    """
    n_moves, n_intervals = followed.shape
    counts = np.zeros(n_intervals, np.int16)
    for place, row in enumerate(followed[:n_intervals]):
        counts[: n_intervals - place] += row[place:]
    ends = np.repeat(songs.first_intervals[1:], np.diff(songs.first_intervals))
    counts[np.arange(n_intervals) + n_moves > ends] = -1
    best = np.full(songs.n_songs, -1, np.int64)
    has_any = np.flatnonzero(np.diff(songs.first_intervals))
    if len(has_any):
        best[has_any] = np.maximum.reduceat(counts, songs.first_intervals[has_any])
    return counts, best


def best_places(
    counts: NDArray[np.int16], songs: SongArrays, song: int, n_moves: int
) -> list[ShapePlace]:
    """Return the stretches of one song that follow the most moves, in the order played.

    A repeated stretch is listed once.

    Parameters
    ----------
    counts : shape (n_intervals,), int16
        From ``stretches``.
    song : int
        The index of a song with at least one stretch.
    """
    own = counts[songs.first_intervals[song] : songs.first_intervals[song + 1]]
    begin = int(songs.first_notes[song])
    places: list[ShapePlace] = []
    for first in (begin + np.flatnonzero(own == own.max())).tolist():
        stretch = slice(first, first + n_moves + 1)
        measures = songs.measures[stretch]
        entered = np.flatnonzero(np.diff(measures, prepend=measures[0] - 1))
        notes = tuple(songs.written[stretch].tolist())
        places.append(ShapePlace(tuple(measures[entered].tolist()), notes))
    return list({place.notes: place for place in reversed(places)}.values())[::-1]


def _follows(
    move: Move, intervals: NDArray[np.int8], growth: NDArray[np.float64]
) -> NDArray[np.bool_]:
    follows: NDArray[np.bool_] = np.sign(intervals) == move.direction
    if move.is_step is not None:
        follows &= (np.abs(intervals) <= WIDEST_STEP) == move.is_step
    if move.is_longer is not None:
        follows &= growth > 1 + ROUNDING if move.is_longer else growth < 1 - ROUNDING
    return follows
