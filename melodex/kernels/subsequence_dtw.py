"""Subsequence dynamic time warping of one query against many songs, 64 songs side by side.

The songs' clipped intervals are in blocks of ``LANES`` songs, column by column, so that the
innermost loop runs over adjacent bytes and the compiler vectorises it. Costs are bytes that
saturate at ``SATURATED``; a song that reaches it is computed again by ``exact_costs`` in 32 bits.
Both return the same as ``librosa.sequence.dtw(subseq=True)``.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

LANES = 64
SATURATED = 255
UNREACHABLE = 2**30  # the cost if there is no path; above any sum of intervals

# (query intervals, song intervals) that a path advances by. HOLD lets one interval match several;
# SKIP advances in both melodies and may skip one interval of either.
HOLD_STEPS = np.array([[1, 1], [1, 0], [0, 1]])
SKIP_STEPS = np.array([[1, 1], [2, 1], [1, 2]])


@compiled
def scan_hold(  # one loop nest: a call per column would cost more than the column
    lanes: NDArray[np.uint8],
    starts: NDArray[np.int64],
    lengths: NDArray[np.int32],
    query: NDArray[np.uint8],
    costs: NDArray[np.uint8],
) -> None:
    """Compute each song's least cost with steps (1,1), (1,0) and (0,1); O(query * lanes) time.

    Parameters
    ----------
    lanes : shape (n_cells,), uint8
        Intervals, block after block; within a block column j holds interval j of each song.
    starts : shape (n_blocks,), int64
        The start of each block in ``lanes``.
    lengths : shape (n_blocks, LANES), int32
        Intervals of each song, ascending within a block; the last is the block's width.
    query : shape (n,), uint8
        The lick's intervals, offset like ``lanes``; n >= 1.
    costs : shape (n_blocks, LANES), uint8
        Output: the least costs, saturating at 255.
    """
    n = len(query)
    # Row 0 means that nothing of the query is matched yet, which is free everywhere.
    column_costs = np.zeros((n + 1, LANES), np.uint8)
    diagonal = np.empty(LANES, np.uint8)
    for block in range(len(starts)):
        best = costs[block]
        best[:] = SATURATED
        column_costs[1:] = SATURATED
        for j in range(lengths[block, LANES - 1]):
            at = starts[block] + j * LANES
            column = lanes[at : at + LANES]
            diagonal[:] = 0
            for i in range(n):
                wanted = query[i]
                for lane in range(LANES):
                    found = column[lane]
                    step = np.uint8(max(wanted, found) - min(wanted, found))
                    left = column_costs[i + 1, lane]
                    reached = min(min(left, diagonal[lane]), column_costs[i, lane])
                    total = np.uint8(reached + step)  # wraps around on overflow ...
                    column_costs[i + 1, lane] = (
                        np.uint8(SATURATED) if total < reached else total  # ... detected here
                    )
                    diagonal[lane] = left
            for lane in range(LANES):
                least = min(best[lane], column_costs[n, lane])
                best[lane] = least if j < lengths[block, lane] else best[lane]


@compiled
def scan_skip(
    lanes: NDArray[np.uint8],
    starts: NDArray[np.int64],
    lengths: NDArray[np.int32],
    query: NDArray[np.uint8],
    costs: NDArray[np.uint8],
) -> None:
    """Compute each song's least cost with steps (1,1), (1,2) and (2,1); O(query * lanes) time.

    Arguments as for ``scan_hold``. The query's first interval is always matched: step (2,1) never
    starts before the query.
    """
    n = len(query)
    # Two columns back and one column back; row i + 1 belongs to query interval i. Row 0, from which
    # only step (2,1) could reach row 2, stays closed; row 1 can start at every position.
    older = np.empty((n + 1, LANES), np.uint8)
    newer = np.empty((n + 1, LANES), np.uint8)
    for block in range(len(starts)):
        best = costs[block]
        best[:] = SATURATED
        older[:] = SATURATED
        newer[:] = SATURATED
        for j in range(lengths[block, LANES - 1]):
            at = starts[block] + j * LANES
            column = lanes[at : at + LANES]
            # From the last row up, so that rows of `older` that are still needed are not
            # overwritten.
            for i in range(n - 1, 0, -1):
                wanted = query[i]
                for lane in range(LANES):
                    found = column[lane]
                    step = np.uint8(max(wanted, found) - min(wanted, found))
                    reached = min(min(newer[i, lane], older[i, lane]), newer[i - 1, lane])
                    total = np.uint8(reached + step)
                    older[i + 1, lane] = np.uint8(SATURATED) if total < reached else total
            wanted = query[0]
            for lane in range(LANES):
                found = column[lane]
                older[1, lane] = np.uint8(max(wanted, found) - min(wanted, found))
            older, newer = newer, older
            for lane in range(LANES):
                least = min(best[lane], newer[n, lane])
                best[lane] = least if j < lengths[block, lane] else best[lane]


@compiled
def lowest(
    costs: NDArray[np.uint8], songs: NDArray[np.int32], allowed: NDArray[np.bool_], limit: int
) -> NDArray[np.int64]:
    """Return the songs of least cost, ties by song index; O(n_songs) time, few insertions.

    Parameters
    ----------
    costs, songs : shape (n_blocks, LANES)
        Each lane's cost and song index; -1 for a lane without a song.
    allowed : shape (n_songs,), bool
        Whether a song may be selected.
    limit : int
        Maximum number of songs, >= 1.

    Returns
    -------
    shape (<= limit,), int64
        cost * 2**32 + song index, ascending.
    """
    kept = np.full(limit, np.int64(2**62), np.int64)
    for block in range(costs.shape[0]):
        for lane in range(LANES):
            song = songs[block, lane]
            if song < 0 or not allowed[song]:
                continue
            candidate = (np.int64(costs[block, lane]) << 32) + song
            if candidate < kept[limit - 1]:
                place = limit - 1
                while place > 0 and kept[place - 1] > candidate:
                    kept[place] = kept[place - 1]
                    place -= 1
                kept[place] = candidate
    return kept[kept < 2**62]


@compiled
def accumulated_costs(
    query: NDArray[np.int32], song: NDArray[np.int32], steps: NDArray[np.int64]
) -> NDArray[np.int32]:
    """Return the cost of the cheapest path into each cell; O(query * song) time and space.

    Parameters
    ----------
    query, song : shape (n,) and (m,), int32
        Intervals; n, m >= 1.
    steps : shape (n_steps, 2), int64
        ``HOLD_STEPS`` or ``SKIP_STEPS``.

    Returns
    -------
    shape (n, m), int32
        ``UNREACHABLE`` or more for a cell without a path.
    """
    n, m = len(query), len(song)
    total = np.empty((n, m), np.int32)
    for j in range(m):
        total[0, j] = abs(query[0] - song[j])
    for i in range(1, n):
        for j in range(m):
            reached = UNREACHABLE
            for s in range(len(steps)):
                from_i, from_j = i - steps[s, 0], j - steps[s, 1]
                if from_i >= 0 and from_j >= 0:
                    reached = min(reached, total[from_i, from_j])
            total[i, j] = min(UNREACHABLE, reached + abs(query[i] - song[j]))
    return total


@compiled
def exact_costs(
    intervals: NDArray[np.int8],
    first: NDArray[np.int64],
    songs: NDArray[np.int32],
    query: NDArray[np.int32],
    steps: NDArray[np.int64],
) -> NDArray[np.int32]:
    """Return the least costs of some songs in 32 bits, song by song.

    Parameters
    ----------
    intervals : shape (n_intervals,), int8
        All songs' clipped intervals, concatenated.
    first : shape (n_songs + 1,), int64
        The start of each song in ``intervals``.
    songs : shape (n_selected,), int32
        The songs to compute.
    query, steps
        As for ``accumulated_costs``.

    Returns
    -------
    shape (n_selected,), int32
        ``UNREACHABLE`` if a song is too short for the query.
    """
    costs = np.full(len(songs), UNREACHABLE, np.int32)
    for place in range(len(songs)):
        song = intervals[first[songs[place]] : first[songs[place] + 1]].astype(np.int32)
        if len(song):
            costs[place] = accumulated_costs(query, song, steps)[-1].min()
    return costs


@compiled
def warping_path(
    total: NDArray[np.int32], last: int, steps: NDArray[np.int64]
) -> NDArray[np.int32]:
    """Return the cheapest path to the query's end at song interval ``last``.

    Among steps of equal cost, the first in ``steps`` is taken.

    Returns
    -------
    shape (n_cells, 2), int32
        Cells (query interval, song interval) from the first to the last.
    """
    i, j = total.shape[0] - 1, last
    cells = np.empty((total.shape[0] + total.shape[1], 2), np.int32)
    place = len(cells)
    while True:
        place -= 1
        cells[place, 0] = i
        cells[place, 1] = j
        if i == 0:
            return cells[place:]
        cheapest = UNREACHABLE + 1
        best_i, best_j = i - 1, j
        for s in range(len(steps)):
            from_i, from_j = i - steps[s, 0], j - steps[s, 1]
            if from_i >= 0 and from_j >= 0 and total[from_i, from_j] < cheapest:
                cheapest = total[from_i, from_j]
                best_i, best_j = from_i, from_j
        i, j = best_i, best_j
