"""Align one melody with one other at one transposition, and trace which notes match.

The recurrence is that of ``pair_alignment``; here every cell is kept, so that paths can be traced.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import Ends, Songs

# How a cell was reached; among equal scores the first in this list.
MATCH, SPLIT, JOINED, LICK_GAP, SONG_GAP, START = range(6)
STEPS = np.array([[1, 1], [1, 2], [2, 1], [1, 0], [0, 1], [0, 0]])  # (lick notes, song notes)
_OPENS_LICK_GAP, _OPENS_SONG_GAP = 8, 16  # flags added to a move: a gap begins with this note
_MOVE = 7  # bits of the move
_NOTHING = -(10**8)
NONE_BARRED = np.zeros((0, 0), np.bool_)


@compiled
def align(
    songs: Songs,
    song: int,
    scores: PairScores,
    ends: int,
    transposition: int,
    barred: NDArray[np.bool_],
    apart: bool,
) -> tuple[NDArray[np.int32], NDArray[np.int8]]:
    """Align a lick of n notes with the m of one song; O(n * m) time and space.

    Parameters
    ----------
    ends : int
        One of ``pair_alignment.Ends``.
    transposition : int
        Half-steps from the lick to the song; up is positive.
    barred : shape (n, m), bool
        Pairs of notes that a common stretch must not contain; shape (0, 0) for none.
    apart : bool
        Whether both are the same melody, so that a common stretch must end before its counterpart
        begins.

    Returns
    -------
    totals : shape (n + 1, m + 1), int32
        The best score of a path that ends with the first i notes of the lick and j of the song.
    moves : shape (n + 1, m + 1), int8
        How it was reached, for ``matched_notes``.
    """
    begin, end = int(songs.first[song]), int(songs.first[song + 1])
    n, m = len(scores.lick_pitches), end - begin
    totals = np.zeros((n + 1, m + 1), np.int32)
    moves = np.full((n + 1, m + 1), START, np.int8)
    in_song = np.full(n + 1, _NOTHING, np.int64)  # best path with the last song note in a gap
    starts = np.zeros((n + 1, m + 1), np.int32)  # the song note before a path's first
    song_starts = np.zeros(n + 1, np.int32)
    if ends != Ends.BOTH:
        for i in range(1, n + 1):
            gap = scores.lick_gaps[0, i - 1]
            if i > 1:
                gap = max(gap, scores.lick_gaps[1, i - 1])
            totals[i, 0] = totals[i - 1, 0] + gap
            moves[i, 0] = LICK_GAP | _OPENS_LICK_GAP
    for j in range(1, m + 1):
        if ends == Ends.NONE:
            kind = songs.kinds[begin + j - 1]
            gap = scores.song_gaps[0, kind, 0]
            if j > 1:
                gap = max(gap, scores.song_gaps[1, kind, 0])
            totals[0, j] = totals[0, j - 1] + gap
            moves[0, j] = SONG_GAP | _OPENS_SONG_GAP
        starts[0, j] = j
        _fill_column(
            songs, begin, j, scores, ends, transposition, barred, apart,
            totals, moves, in_song, starts, song_starts,
        )  # fmt: skip
    return totals, moves


@compiled
def _fill_column(
    songs: Songs,
    begin: int,
    j: int,
    scores: PairScores,
    ends: int,
    transposition: int,
    barred: NDArray[np.bool_],
    apart: bool,
    totals: NDArray[np.int32],
    moves: NDArray[np.int8],
    in_song: NDArray[np.int64],
    starts: NDArray[np.int32],
    song_starts: NDArray[np.int32],
) -> None:
    """Compute the best score and move of each cell in a column."""
    note = begin + j - 1
    kind, both, pitch = songs.kinds[note], songs.joined_kinds[note], songs.pitches[note]
    repeated = j > 1 and pitch == songs.pitches[note - 1]
    reach = len(scores.pitch) // 2
    in_lick, lick_start = _NOTHING, 0
    for i in range(1, len(scores.lick_pitches) + 1):
        distance = int(pitch) - int(scores.lick_pitches[i - 1]) - transposition
        of_pitch = int(scores.pitch[min(max(distance, -reach), reach) + reach])
        if barred.size and barred[i - 1, j - 1]:
            totals[i, j], starts[i, j], in_lick, in_song[i] = 0, j, _NOTHING, _NOTHING
            continue
        best, move = _best_pair(
            totals, i, j, scores.match[kind, i - 1], scores.split[both, i - 1],
            scores.joined[kind, i - 1], repeated, barred,
        )  # fmt: skip
        best += of_pitch
        flags = 0
        opened = totals[i - 1, j] + scores.lick_gaps[0, i - 1]
        in_lick += scores.lick_gaps[1, i - 1]
        if opened >= in_lick:
            in_lick, lick_start, flags = opened, starts[i - 1, j], flags | _OPENS_LICK_GAP
        opened = totals[i, j - 1] + scores.song_gaps[0, kind, i]
        in_song[i] += scores.song_gaps[1, kind, i]
        if opened >= in_song[i]:
            in_song[i], song_starts[i], flags = opened, starts[i, j - 1], flags | _OPENS_SONG_GAP
        start = starts[i - STEPS[move, 0], j - STEPS[move, 1]]
        if in_lick > best:
            best, move, start = in_lick, LICK_GAP, lick_start
        if in_song[i] > best:
            best, move, start = in_song[i], SONG_GAP, song_starts[i]
        if ends == Ends.BOTH and (best <= 0 or (apart and i > start)):
            best, move, start = 0, START, j
        totals[i, j], moves[i, j], starts[i, j] = best, move | flags, start


@compiled
def _best_pair(
    totals: NDArray[np.int32],
    i: int,
    j: int,
    of_match: int,
    of_split: int,
    of_joined: int,
    repeated: bool,
    barred: NDArray[np.bool_],
) -> tuple[int, int]:
    """Choose how to match notes i and j; return the score without their pitch, and the move."""
    best, move = totals[i - 1, j - 1] + of_match, MATCH
    if repeated and not (barred.size and barred[i - 1, j - 2]):
        score = totals[i - 1, j - 2] + of_split
        if score > best:
            best, move = score, SPLIT
    if i > 1 and not (barred.size and barred[i - 2, j - 1]):
        score = totals[i - 2, j - 1] + of_joined
        if score > best:
            best, move = score, JOINED
    return best, move


@compiled
def steps_of_path(moves: NDArray[np.int8], i: int, j: int) -> NDArray[np.int32]:
    """Trace a path back from the first i notes of the lick and j of the song.

    Returns
    -------
    shape (n_steps, 3), int32
        Move, and the first note of the lick and of the song that it consumes or precedes, in order.
    """
    found = np.empty((i + j, 3), np.int32)
    place, in_gap = i + j, -1
    while True:
        flags = moves[i, j]
        move = flags & _MOVE if in_gap < 0 else in_gap
        if move == START:
            return found[place:]
        opens = _OPENS_LICK_GAP if move == LICK_GAP else _OPENS_SONG_GAP
        goes_on = move in (LICK_GAP, SONG_GAP) and not flags & opens
        in_gap = move if goes_on else -1
        i -= STEPS[move, 0]
        j -= STEPS[move, 1]
        place -= 1
        found[place, 0], found[place, 1], found[place, 2] = move, i, j


@compiled
def matched_notes(path: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return the pairs of notes that match along a path.

    Parameters
    ----------
    path : shape (n_steps, 3)
        As ``steps_of_path`` returns it.

    Returns
    -------
    shape (n_pairs, 2), int32
        (note of the lick, note of the song), in order; two pairs if one note matches two.
    """
    pairs = np.empty((2 * len(path), 2), np.int32)
    count = 0
    for move, i, j in path:
        lick_step, song_step = STEPS[move, 0], STEPS[move, 1]
        if lick_step and song_step:
            for further in range(max(lick_step, song_step)):
                pairs[count, 0] = i + min(further, lick_step - 1)
                pairs[count, 1] = j + min(further, song_step - 1)
                count += 1
    return pairs[:count]
