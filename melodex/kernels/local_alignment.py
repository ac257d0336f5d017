"""The stretches of two melodies that answer each other best, at one transposition.

A pair of notes is worth what it is in ``weighted_alignment``; a stretch begins and ends with a pair
and is worth more than nothing from its beginning on.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.passage_traceback import (
    JOINED,
    LICK_GAP,
    PAIR,
    SONG_GAP,
    SPLIT,
    START,
    STEPS,
)

ONE, TWO = np.float32(1.0), np.float32(2.0)


class Notes(NamedTuple):
    """Notes in order of time."""

    pitches: NDArray[np.int32]  # shape (n_notes,), MIDI note numbers
    gaps: NDArray[np.float32]  # the price of leaving out each


class Rules(NamedTuple):
    """What the n notes of one melody are worth with the m of the other, by beat and duration."""

    similarity: NDArray[np.float32]  # odd length, by half-steps; the middle is 0, the ends worth 0
    split_price: np.float32
    weights: NDArray[np.float32]  # shape (n, m)
    split_weights: NDArray[np.float32]  # a note of one with a note of the other and the one before
    joined_weights: NDArray[np.float32]  # a note of one and the one before with one of the other


@compiled
def align_stretches(
    one: Notes,
    other: Notes,
    transposition: int,
    rules: Rules,
    barred: NDArray[np.bool_],
    apart: bool,
) -> tuple[NDArray[np.float32], NDArray[np.int8]]:
    """Align any stretch of one melody with any of another; O(n * m) time and space.

    Parameters
    ----------
    one, other : Notes
        n and m of them.
    transposition : int
        Half-steps from one up to the other.
    barred : shape (n, m), bool
        Pairs that no stretch may hold.
    apart : bool
        Both are the same melody, and a stretch must end there before its answer begins.

    Returns
    -------
    totals : shape (n + 1, m + 1), float32
        The worth of the best stretch that ends with these notes; 0 where none does.
    moves : shape (n + 1, m + 1), int8
        How it was reached: PAIR, SPLIT, JOINED, LICK_GAP (a note of one is left out), SONG_GAP (of
        the other); START where none ends.

    Source
    ------
    Smith & Waterman, "Identification of common molecular subsequences", J. Mol. Biol. 147 (1981)
    195-197 (from memory).
    """
    n, m = len(one.pitches), len(other.pitches)
    totals = np.zeros((n + 1, m + 1), np.float32)
    moves = np.full((n + 1, m + 1), START, np.int8)
    answers = np.zeros((n + 1, m + 1), np.int32)  # where in the other the stretch's answer begins
    for i in range(1, n + 1):
        _fill_row(one, other, i, transposition, rules, barred, apart, totals, moves, answers)
    return totals, moves


@compiled
def best_worths(
    one: Notes, other: Notes, lowest: int, highest: int, rules: Rules, apart: bool
) -> NDArray[np.float32]:
    """Give the worth of the best stretch at each transposition, from the lowest up; shape (k,)."""
    free = np.zeros((len(one.pitches), len(other.pitches)), np.bool_)
    worths = np.empty(highest - lowest + 1, np.float32)
    for place in range(len(worths)):
        totals, _ = align_stretches(one, other, lowest + place, rules, free, apart)
        worths[place] = totals.max()
    return worths


@compiled
def _fill_row(
    one: Notes,
    other: Notes,
    i: int,
    transposition: int,
    rules: Rules,
    barred: NDArray[np.bool_],
    apart: bool,
    totals: NDArray[np.float32],
    moves: NDArray[np.int8],
    answers: NDArray[np.int32],
) -> None:
    """Choose the move that reaches each cell of a row best, of equal ones the first listed."""
    repeated = i > 1 and one.pitches[i - 1] == one.pitches[i - 2]
    reach = len(rules.similarity) // 2
    for j in range(1, len(other.pitches) + 1):
        if barred[i - 1, j - 1]:
            continue
        half_steps = other.pitches[j - 1] - one.pitches[i - 1] - transposition
        alike = TWO * rules.similarity[min(max(half_steps, -reach), reach) + reach]
        worth = rules.weights[i - 1, j - 1] * alike - ONE
        best, move = totals[i - 1, j - 1] + worth, PAIR
        if j > 1 and other.pitches[j - 1] == other.pitches[j - 2] and not barred[i - 1, j - 2]:
            worth = rules.split_weights[i - 1, j - 1] * alike - ONE - rules.split_price
            if totals[i - 1, j - 2] + worth > best:
                best, move = totals[i - 1, j - 2] + worth, SPLIT
        if repeated and not barred[i - 2, j - 1]:
            worth = rules.joined_weights[i - 1, j - 1] * alike - ONE - rules.split_price
            if totals[i - 2, j - 1] + worth > best:
                best, move = totals[i - 2, j - 1] + worth, JOINED
        if totals[i - 1, j] - one.gaps[i - 1] > best:
            best, move = totals[i - 1, j] - one.gaps[i - 1], LICK_GAP
        if totals[i, j - 1] - other.gaps[j - 1] > best:
            best, move = totals[i, j - 1] - other.gaps[j - 1], SONG_GAP
        from_i, from_j = i - STEPS[move, 0], j - STEPS[move, 1]
        begins = from_j if moves[from_i, from_j] == START else answers[from_i, from_j]
        if best > 0 and not (apart and i > begins):
            totals[i, j], moves[i, j], answers[i, j] = best, move, begins


@compiled
def answering_stretch(moves: NDArray[np.int8], i: int, j: int) -> tuple[NDArray[np.int32], int]:
    """Follow a stretch back from its last notes, the i-th of one and the j-th of the other.

    Returns
    -------
    pairs : shape (n_pairs, 2), int32
        (note of one, note of the other), from 0, in order; a split or joined note stands in two.
    answered : int
        How many moves pair notes; one for two counts once.
    """
    pairs = np.empty((2 * (i + j), 2), np.int32)
    place, answered = len(pairs), 0
    while moves[i, j] != START:
        one_step, other_step = STEPS[moves[i, j], 0], STEPS[moves[i, j], 1]
        if one_step and other_step:
            answered += 1
            for back in range(max(one_step, other_step)):
                place -= 1
                pairs[place, 0] = i - 1 - min(back, one_step - 1)
                pairs[place, 1] = j - 1 - min(back, other_step - 1)
        i -= one_step
        j -= other_step
    return pairs[place:], answered
