"""Weighted alignment of one lick with many songs, neighbouring transpositions side by side.

The whole lick is aligned anywhere in a song. A pair of notes scores 2 * similarity - 1, where
similarity = pitch similarity * (1 - beat_weight * |difference of beat strength|)
* (1 - duration_weight * min(2, |log2 of the ratio of durations|)); a note without an answer costs
its gap price. One note may be answered by two of its pitch, or two of one pitch by one: they count
as one pair with their durations added, less ``split_price``.

The lanes of the innermost loop are transpositions: the pitch similarity of a pair at all of them is
one stretch of the table.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

LANES = 48  # transpositions side by side; the ranges of a lick and a song add up to fewer
LARGEST_LOG_RATIO = np.float32(2.0)  # durations farther apart than 1 : 4 are simply different
# No pair of MIDI notes is farther apart at any lane: twice MIDI's range, and the lanes.
REACH = 2 * 127 + LANES
NO_SCORE = np.float32(-1e9)
ONE, TWO = np.float32(1.0), np.float32(2.0)

# How a cell was reached; of equal scores the first counts.
PAIR, SPLIT, JOINED, LICK_GAP, SONG_GAP, START = range(6)
STEPS = np.array([[1, 1], [1, 2], [2, 1], [1, 0], [0, 1], [0, 0]])  # (lick notes, song notes)


class Notes(NamedTuple):
    """Notes in order of time; every array has shape (n_notes,)."""

    pitches: NDArray[np.int32]  # MIDI note numbers
    strengths: NDArray[np.float32]  # of the beat, 0 to 1
    log_durations: NDArray[np.float32]  # log2 of quarter notes
    gaps: NDArray[np.float32]  # the price of leaving a note without an answer


class Rules(NamedTuple):
    """What a pair is worth."""

    similarity: NDArray[np.float32]  # shape (2 * REACH + 1,), by half-steps; the middle is 0
    beat_weight: np.float32
    duration_weight: np.float32
    split_price: np.float32


@compiled
def scan_passages(
    notes: Notes,
    first: NDArray[np.int64],
    songs: NDArray[np.int64],
    lick: Notes,
    rules: Rules,
    scores: NDArray[np.float32],
    transpositions: NDArray[np.int32],
) -> None:
    """Find each song's best score for the whole lick, and the transposition that has it.

    O(lick * notes * LANES) time.

    Parameters
    ----------
    notes : Notes
        All songs' notes, one song after the other.
    first : shape (n_songs + 1,)
        Where each song begins.
    songs : shape (n_asked,)
        The songs wanted.
    lick : Notes
        One note or more.
    scores, transpositions : shape (n_asked,)
        Filled; ``NO_SCORE`` and 0 for a song without notes. Of equal scores the lowest
        transposition (half-steps from lick up to song) counts.
    """
    columns = np.zeros((3, len(lick.pitches) + 1, LANES), np.float32)
    best = np.empty(LANES, np.float32)
    lick_joined = _joined_log_durations(lick)
    for asked in range(len(songs)):
        begin, end = int(first[songs[asked]]), int(first[songs[asked] + 1])
        scores[asked], transpositions[asked] = NO_SCORE, 0
        if begin == end:
            continue
        lowest = notes.pitches[begin:end].min() - lick.pitches.max()
        highest = notes.pitches[begin:end].max() - lick.pitches.min()
        while lowest <= highest:
            top = lowest + LANES - 1
            _align_lanes(notes, begin, end, lick, lick_joined, rules, top, columns, best)
            for lane in range(LANES - 1, -1, -1):
                if best[lane] > scores[asked] and top - lane <= highest:
                    scores[asked], transpositions[asked] = best[lane], top - lane
            lowest += LANES


@compiled
def scores_by_transposition(
    notes: Notes, lick: Notes, rules: Rules, lowest: int, highest: int
) -> NDArray[np.float32]:
    """Give the best score for the whole lick in one song at each transposition.

    Returns
    -------
    shape (highest - lowest + 1,)
        From the lowest up; equal to what ``align_passage`` reaches there.
    """
    columns = np.zeros((3, len(lick.pitches) + 1, LANES), np.float32)
    lick_joined = _joined_log_durations(lick)
    scores = np.empty(highest - lowest + 1, np.float32)
    best = np.empty(LANES, np.float32)
    for first in range(0, len(scores), LANES):
        top = lowest + first + LANES - 1
        _align_lanes(notes, 0, len(notes.pitches), lick, lick_joined, rules, top, columns, best)
        for place in range(first, min(first + LANES, len(scores))):
            scores[place] = best[top - lowest - place]
    return scores


@compiled
def _joined_log_durations(notes: Notes) -> NDArray[np.float32]:
    """Give log2 of each note's duration together with that of the note before; 0 for the first."""
    joined = np.zeros(len(notes.pitches), np.float32)
    for j in range(1, len(joined)):
        joined[j] = joined_log_duration(notes, j)
    return joined


@compiled
def _align_lanes(
    notes: Notes,
    begin: int,
    end: int,
    lick: Notes,
    lick_joined: NDArray[np.float32],
    rules: Rules,
    top: int,
    columns: NDArray[np.float32],
    best: NDArray[np.float32],
) -> None:
    """Fill ``best`` with the best score at each of ``LANES`` transpositions of one song.

    Lane l stands for transposition top - l, so that the table is read upwards; ``columns`` is
    scratch.
    """
    n = len(lick.pitches)
    older, old, new = columns[0], columns[1], columns[2]
    for i in range(n):
        for lane in range(LANES):
            old[i + 1, lane] = old[i, lane] - lick.gaps[i]
            older[i + 1, lane] = NO_SCORE
    best[:] = NO_SCORE
    for j in range(begin, end):
        song_gap = notes.gaps[j]
        repeated = j > begin and notes.pitches[j] == notes.pitches[j - 1]
        joined = joined_log_duration(notes, j) if repeated else ONE
        for i in range(n):
            place = notes.pitches[j] - lick.pitches[i] - top + REACH
            alike = rules.similarity[place : place + LANES]
            weight = TWO * weight_of_pair(lick, i, notes, j, rules)
            lick_gap = lick.gaps[i]
            for lane in range(LANES):
                reached = old[i, lane] + (weight * alike[lane] - ONE)
                reached = max(reached, new[i, lane] - lick_gap)
                new[i + 1, lane] = max(reached, old[i + 1, lane] - song_gap)
            if repeated:
                weight = TWO * weight_of_split(lick, i, notes, j, joined, rules)
                for lane in range(LANES):
                    reached = older[i, lane] + (weight * alike[lane] - ONE)
                    new[i + 1, lane] = max(new[i + 1, lane], reached - rules.split_price)
            if i > 0 and lick.pitches[i] == lick.pitches[i - 1]:
                weight = TWO * weight_of_split(notes, j, lick, i, lick_joined[i], rules)
                for lane in range(LANES):
                    reached = old[i - 1, lane] + (weight * alike[lane] - ONE)
                    new[i + 1, lane] = max(new[i + 1, lane], reached - rules.split_price)
        for lane in range(LANES):
            best[lane] = max(best[lane], new[n, lane])
        older, old, new = old, new, older


@compiled
def weight_of_pair(one: Notes, i: int, other: Notes, j: int, rules: Rules) -> np.float32:
    """Weigh a pair of notes by beat and duration, 0 to 1."""
    beats_apart = abs(one.strengths[i] - other.strengths[j])
    log_ratio = min(LARGEST_LOG_RATIO, abs(one.log_durations[i] - other.log_durations[j]))
    weight: np.float32 = (ONE - rules.beat_weight * beats_apart) * (
        ONE - rules.duration_weight * log_ratio
    )
    return weight


@compiled
def joined_log_duration(notes: Notes, j: int) -> np.float32:
    """Give log2 of the durations of notes j - 1 and j together."""
    joined: np.float32 = np.log2(
        np.exp2(notes.log_durations[j - 1]) + np.exp2(notes.log_durations[j])
    )
    return joined


@compiled
def weight_of_split(
    one: Notes, i: int, other: Notes, j: int, joined: np.float32, rules: Rules
) -> np.float32:
    """Weigh one note against two of the other melody, j - 1 and j, that last ``joined`` in all."""
    beats_apart = abs(one.strengths[i] - other.strengths[j - 1])
    log_ratio = min(LARGEST_LOG_RATIO, abs(one.log_durations[i] - joined))
    weight: np.float32 = (ONE - rules.beat_weight * beats_apart) * (
        ONE - rules.duration_weight * log_ratio
    )
    return weight


@compiled
def align_passage(
    notes: Notes, lick: Notes, transposition: int, rules: Rules
) -> tuple[NDArray[np.float32], NDArray[np.int8]]:
    """Align a lick with one song at one transposition; O(lick * notes) time and space.

    Returns
    -------
    totals : shape (n + 1, m + 1), float32
        The best score of the first i notes of the lick that ends at song note j; row 0 is 0.
    moves : shape (n + 1, m + 1), int8
        How it was reached: PAIR, SPLIT, JOINED, LICK_GAP, SONG_GAP; START in row 0.
    """
    n, m = len(lick.pitches), len(notes.pitches)
    totals = np.zeros((n + 1, m + 1), np.float32)
    moves = np.full((n + 1, m + 1), START, np.int8)
    for i in range(1, n + 1):
        totals[i, 0] = totals[i - 1, 0] - lick.gaps[i - 1]
        moves[i, 0] = LICK_GAP
    for j in range(1, m + 1):
        repeated = j > 1 and notes.pitches[j - 1] == notes.pitches[j - 2]
        for i in range(1, n + 1):
            apart = notes.pitches[j - 1] - lick.pitches[i - 1] - transposition
            alike = rules.similarity[apart + REACH]
            weight = TWO * weight_of_pair(lick, i - 1, notes, j - 1, rules)
            best, move = totals[i - 1, j - 1] + (weight * alike - ONE), PAIR
            if repeated:
                weight = TWO * weight_of_split(
                    lick, i - 1, notes, j - 1, joined_log_duration(notes, j - 1), rules
                )
                reached = totals[i - 1, j - 2] + (weight * alike - ONE) - rules.split_price
                if reached > best:
                    best, move = reached, SPLIT
            if i > 1 and lick.pitches[i - 1] == lick.pitches[i - 2]:
                weight = TWO * weight_of_split(
                    notes, j - 1, lick, i - 1, joined_log_duration(lick, i - 1), rules
                )
                reached = totals[i - 2, j - 1] + (weight * alike - ONE) - rules.split_price
                if reached > best:
                    best, move = reached, JOINED
            reached = totals[i - 1, j] - lick.gaps[i - 1]
            if reached > best:
                best, move = reached, LICK_GAP
            reached = totals[i, j - 1] - notes.gaps[j - 1]
            if reached > best:
                best, move = reached, SONG_GAP
            totals[i, j] = best
            moves[i, j] = move
    return totals, moves


@compiled
def answering_notes(moves: NDArray[np.int8], last: int) -> NDArray[np.int32]:
    """Follow an alignment back from the lick's end at song note ``last``.

    Returns
    -------
    shape (n_pairs, 2), int32
        (lick note, song note) in order; a split or joined note stands in two pairs.
    """
    i, j = moves.shape[0] - 1, last + 1
    pairs = np.empty((2 * (i + j) + 2, 2), np.int32)
    place = len(pairs)
    while i > 0:
        move = moves[i, j]
        lick_step, song_step = STEPS[move, 0], STEPS[move, 1]
        for back in range(max(lick_step, song_step) if lick_step and song_step else 0):
            place -= 1
            pairs[place, 0] = i - 1 - min(back, lick_step - 1)
            pairs[place, 1] = j - 1 - min(back, song_step - 1)
        i -= lick_step
        j -= song_step
    return pairs[place:]
