"""Weighted alignment of one lick with many songs, transpositions and variants side by side.

The whole lick is aligned anywhere in a song. A pair of notes is worth 2 * similarity - 1, where
similarity is that of the pitches times a weight from 0 to 1; a note without an answer costs its gap
price. One note may be answered by two of its pitch, or two of one pitch by one: they count as one
pair with their durations added, less ``split_price``.

All of it is counted in thousandths, in the lick's integer type, so that no order of adding changes
a sum. The innermost loop runs over ``WIDE`` cells: the variants of a lick, which differ in nothing
but their weights, each at ``WIDE // n_variants`` neighbouring transpositions. What a note of a song
adds there depends on its kind and its pitch alone: such a row is filled when it is first needed.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

WIDE = 96
UNIT = 1000  # a pair of equal notes of equal weight
NO_SCORE = np.int32(-(10**9))
# From where the cells count. 16 bits hold a lick whose notes and gap prices add up to no more than
# twice as much, and leave room below for what a pair may cost.
FLOOR = -28_000
ROOM_BELOW = 4_700
MOST_ROWS = 4096  # kept at a time; the bundled songs need some 2,000

# Unsigned offsets: compiled code would look for negative ones, and not work on many cells at once.
OFFSET = np.uint64
_WIDE = OFFSET(WIDE)


class Songs(NamedTuple):
    """All songs' notes, one song after the other."""

    first: NDArray[np.int64]  # shape (n_songs + 1,), where each song begins
    pitches: NDArray[np.int16]  # shape (n_notes,), MIDI note numbers
    kinds: NDArray[np.uint16]  # shape (n_notes,)
    joined_kinds: NDArray[np.uint16]  # of each note and the one before as one
    gaps: NDArray[np.int16]  # shape (n_kinds,), the price of leaving out such a note, thousandths


class Asked(NamedTuple):
    """A lick of n notes in variants; ``gaps`` is of the type in which all is counted."""

    pitches: NDArray[np.int16]  # shape (n,)
    gaps: NDArray[np.signedinteger]  # shape (n,), thousandths
    weights: NDArray[np.float32]  # shape (n_kinds, n_variants, n), with a song's note of each kind
    joined_weights: NDArray[np.float32]  # of each note and the one before as one
    alike: NDArray[np.uint16]  # shape (n_kinds,), of each kind, the first that weighs the same


class Rules(NamedTuple):
    """What the pitches of a pair are worth, and what one note for two costs."""

    similarity: NDArray[np.float32]  # odd length, by half-steps; the middle is 0, the ends worth 0
    split_price: int  # thousandths


class _Rows(NamedTuple):
    """What a song's note of a kind and pitch adds to every cell."""

    cells: NDArray[np.signedinteger]  # row after row of pairs, then of joined pairs
    size: int
    begins: NDArray[np.int32]  # of each kind at each pitch; -1 where the row is not filled
    pitches: int  # how many are told apart; those outside resemble nothing in the lick
    lowest: int  # of them, above the transposition
    filled: NDArray[np.int64]  # shape (1,), how many rows are


@compiled
def scan_passages(
    songs: Songs,
    asked: NDArray[np.int64],
    lick: Asked,
    rules: Rules,
    scores: NDArray[np.int32],
    transpositions: NDArray[np.int32],
) -> None:
    """Find each song's best score for each variant of the lick, and the transposition that has it.

    O(lick * notes * WIDE) time.

    Parameters
    ----------
    asked : shape (n_asked,)
        The songs wanted.
    scores, transpositions : shape (n_asked, n_variants)
        Filled; ``NO_SCORE`` and 0 for a song without notes. Thousandths; of equal scores the lowest
        transposition (half-steps from lick up to song) counts.
    """
    n, n_variants = len(lick.pitches), lick.weights.shape[1]
    lanes = WIDE // n_variants
    rows = _no_rows(lick, rules, lanes)
    columns = np.full(3 * (n + 1) * WIDE, FLOOR, lick.gaps.dtype)
    best = np.empty(WIDE, lick.gaps.dtype)
    all_left_out = lick.gaps.sum()
    for place in range(len(asked)):
        begin, end = int(songs.first[asked[place]]), int(songs.first[asked[place] + 1])
        scores[place], transpositions[place] = NO_SCORE, 0
        if begin == end:
            continue
        lowest = songs.pitches[begin:end].min() - lick.pitches.max()
        highest = songs.pitches[begin:end].max() - lick.pitches.min()
        while lowest <= highest:
            top = lowest + lanes - 1
            _align_lanes(songs, begin, end, lick, rules, top, rows, columns, best)
            for variant in range(n_variants):
                for lane in range(lanes - 1, max(top - highest, 0) - 1, -1):
                    score = best[variant * lanes + lane] - FLOOR - all_left_out
                    if score > scores[place, variant]:
                        scores[place, variant] = score
                        transpositions[place, variant] = top - lane
            lowest += lanes


@compiled
def _align_lanes(
    songs: Songs,
    begin: int,
    end: int,
    lick: Asked,
    rules: Rules,
    top: int,
    rows: _Rows,
    columns: NDArray[np.signedinteger],
    best: NDArray[np.signedinteger],
) -> None:
    """Fill ``best`` with the best score of one song in every cell, above ``FLOOR``.

    Lane l of a variant stands for transposition top - l. A cell holds its score plus the prices of
    all of the lick's notes so far: so leaving out one of them changes nothing. ``columns`` is
    scratch, whose first row of each column stays at ``FLOOR``.
    """
    n = len(lick.pitches)
    number = columns.dtype.type
    split_price = number(rules.split_price)
    older, old, new = OFFSET(0), OFFSET((n + 1) * WIDE), OFFSET(2 * (n + 1) * WIDE)
    columns[old : old + OFFSET((n + 1) * WIDE)] = FLOOR
    best[:] = FLOOR
    for j in range(begin, end):
        kind = songs.kinds[j]
        song_gap = number(songs.gaps[kind])
        pitch = min(max(songs.pitches[j] - top - rows.lowest, 0), rows.pitches - 1)
        place, joined_place = (
            lick.alike[kind] * rows.pitches + pitch,
            lick.alike[songs.joined_kinds[j]] * rows.pitches + pitch,
        )
        repeated = j > begin and songs.pitches[j] == songs.pitches[j - 1]
        if rows.begins[place] < 0 or (repeated and rows.begins[joined_place] < 0):
            _fill_rows(rows, place, joined_place, lick, rules)
        row = OFFSET(rows.begins[place])
        split = OFFSET(rows.begins[joined_place]) if repeated else row
        for i in range(n):
            at = OFFSET(i * WIDE)
            for k in range(at, at + _WIDE):
                paired = number(columns[old + k] + rows.cells[row + k])
                left_out = number(columns[old + _WIDE + k] - song_gap)
                columns[new + _WIDE + k] = max(max(paired, left_out), columns[new + k])
            if repeated:
                for k in range(at, at + _WIDE):
                    paired = number(columns[older + k] + rows.cells[split + k])
                    paired = number(paired - split_price)
                    columns[new + _WIDE + k] = max(columns[new + _WIDE + k], paired)
            if i > 0 and lick.pitches[i] == lick.pitches[i - 1]:
                joined = row + OFFSET(n * WIDE)
                for k in range(at, at + _WIDE):
                    paired = number(columns[old - _WIDE + k] + rows.cells[joined + k])
                    columns[new + _WIDE + k] = max(columns[new + _WIDE + k], paired)
        for k in range(_WIDE):
            best[k] = max(best[k], columns[new + OFFSET(n * WIDE) + k])
        older, old, new = old, new, older


@compiled
def _no_rows(lick: Asked, rules: Rules, lanes: int) -> _Rows:
    """Make room for rows."""
    reach = len(rules.similarity) // 2
    lowest = lick.pitches.min() - reach - lanes + 1
    pitches = lick.pitches.max() + reach - lowest + 1
    size = 2 * len(lick.pitches) * WIDE
    cells = np.empty(MOST_ROWS * size, lick.gaps.dtype)
    begins = np.full(len(lick.weights) * pitches, -1, np.int32)
    return _Rows(cells, size, begins, pitches, lowest, np.zeros(1, np.int64))


@compiled
def _fill_rows(rows: _Rows, place: int, joined_place: int, lick: Asked, rules: Rules) -> None:
    """Fill those of two rows that are not, having begun anew where there is no room for both."""
    if rows.filled[0] + 2 > MOST_ROWS:
        rows.begins[:] = -1
        rows.filled[0] = 0
    for wanted in (place, joined_place):
        if rows.begins[wanted] < 0:
            kind, pitch = divmod(wanted, rows.pitches)
            begin = rows.filled[0] * rows.size
            half, end = begin + rows.size // 2, begin + rows.size
            above = pitch + rows.lowest
            _fill_row(rows.cells[begin:half], lick.weights[kind], above, lick, rules, 0)
            _fill_row(rows.cells[half:end], lick.joined_weights[kind], above, lick, rules, 1)
            rows.begins[wanted] = begin
            rows.filled[0] += 1


@compiled
def _fill_row(
    row: NDArray[np.signedinteger],
    weights: NDArray[np.float32],
    above: int,
    lick: Asked,
    rules: Rules,
    n_before: int,
) -> None:
    """Fill a row for pairs of a song's note with one of the lick and ``n_before`` before it."""
    n_variants = len(weights)
    lanes = WIDE // n_variants
    reach = len(rules.similarity) // 2
    for i in range(n_before, len(lick.pitches)):
        if n_before and lick.pitches[i] != lick.pitches[i - 1]:
            continue
        left_out = lick.gaps[i - n_before : i + 1].sum() - n_before * rules.split_price
        first = above - lick.pitches[i]  # how far the pitches of lane 0 are apart
        row[i * WIDE : (i + 1) * WIDE] = left_out - UNIT  # what is worth nothing costs the most
        for apart in range(max(first, -reach), min(first + lanes - 1, reach) + 1):
            alike = rules.similarity[apart + reach]
            if alike > 0:
                for variant in range(n_variants):
                    worth = worth_of_pair(weights[variant, i], alike)
                    row[i * WIDE + variant * lanes + apart - first] = worth + left_out


@compiled
def worth_of_pair(weight: np.float32, alike: np.float32) -> int:
    """Give what a pair of notes adds, in thousandths."""
    return int(np.rint(np.float32(2 * UNIT) * (weight * alike))) - UNIT
