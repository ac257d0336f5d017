"""One variant of a lick in one song at one transposition: which notes answer which.

What a pair is worth, and what is counted, is told in ``weighted_alignment``.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.weighted_alignment import Asked, Rules, Songs, worth_of_pair

# How a cell was reached; of equal scores the first counts.
PAIR, SPLIT, JOINED, LICK_GAP, SONG_GAP, START = range(6)
STEPS = np.array([[1, 1], [1, 2], [2, 1], [1, 0], [0, 1], [0, 0]])  # (lick notes, song notes)


@compiled
def align_passage(
    songs: Songs, song: int, lick: Asked, variant: int, rules: Rules, transposition: int
) -> tuple[NDArray[np.int32], NDArray[np.int8]]:
    """Align a variant of a lick with one song at one transposition; O(lick * notes) time and space.

    Returns
    -------
    totals : shape (n + 1, m + 1), int32
        The best score of the first i notes of the lick that ends at song note j, thousandths; row 0
        is 0.
    moves : shape (n + 1, m + 1), int8
        How it was reached: PAIR, SPLIT, JOINED, LICK_GAP, SONG_GAP; START in row 0.
    """
    begin, end = songs.first[song], songs.first[song + 1]
    n, m = len(lick.pitches), end - begin
    reach = len(rules.similarity) // 2
    totals = np.zeros((n + 1, m + 1), np.int32)
    moves = np.full((n + 1, m + 1), START, np.int8)
    for i in range(1, n + 1):
        totals[i, 0] = totals[i - 1, 0] - lick.gaps[i - 1]
        moves[i, 0] = LICK_GAP
    for j in range(1, m + 1):
        note = begin + j - 1
        kind, pitch = songs.kinds[note], songs.pitches[note]
        repeated = j > 1 and pitch == songs.pitches[note - 1]
        for i in range(1, n + 1):
            apart = int(pitch - lick.pitches[i - 1] - transposition)
            alike = rules.similarity[min(max(apart, -reach), reach) + reach]
            worth = worth_of_pair(lick.weights[kind, variant, i - 1], alike)
            best, move = totals[i - 1, j - 1] + worth, PAIR
            if repeated:
                weight = lick.weights[songs.joined_kinds[note], variant, i - 1]
                worth = worth_of_pair(weight, alike) - rules.split_price
                if totals[i - 1, j - 2] + worth > best:
                    best, move = totals[i - 1, j - 2] + worth, SPLIT
            if i > 1 and lick.pitches[i - 1] == lick.pitches[i - 2]:
                weight = lick.joined_weights[kind, variant, i - 1]
                worth = worth_of_pair(weight, alike) - rules.split_price
                if totals[i - 2, j - 1] + worth > best:
                    best, move = totals[i - 2, j - 1] + worth, JOINED
            if totals[i - 1, j] - lick.gaps[i - 1] > best:
                best, move = totals[i - 1, j] - lick.gaps[i - 1], LICK_GAP
            if totals[i, j - 1] - songs.gaps[kind] > best:
                best, move = totals[i, j - 1] - songs.gaps[kind], SONG_GAP
            totals[i, j], moves[i, j] = best, move
    return totals, moves


@compiled
def scores_by_transposition(
    songs: Songs, song: int, lick: Asked, variant: int, rules: Rules, lowest: int, highest: int
) -> NDArray[np.int32]:
    """Give the best score of a variant in one song at each transposition, from the lowest up."""
    scores = np.empty(highest - lowest + 1, np.int32)
    for place in range(len(scores)):
        totals, _ = align_passage(songs, song, lick, variant, rules, lowest + place)
        scores[place] = totals[-1, 1:].max()
    return scores


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
