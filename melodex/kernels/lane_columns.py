"""Two columns of an alignment at a time, many transpositions side by side.

A column belongs to a note of the song, a cell of it to a number of the lick's notes: the best score
of a path through those notes. The innermost loops run over ``LANES`` neighbouring transpositions.

Scores add up, and the highest is best. Losses, what a path falls short of the highest score there
is, add up too, and the lowest is best: being never negative they fit into bytes, of which twice as
many are computed at once.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import inlined

LANES = 32  # transpositions; most pairs of melodies leave no more of them to try

# Unsigned offsets: compiled code would look for negative ones, and not work on many cells at once.
OFFSET = np.uint64
ONE_ROW = OFFSET(LANES)
# A block of cells belongs to a number of the lick's notes: the scores in the two columns being
# filled and the two before, in either order; then what the columns need besides.
IN_SONG_GAP = OFFSET(4 * LANES)  # the last of the song's notes so far left out
IN_LICK_GAP = OFFSET(5 * LANES)  # the last of the lick's, in both columns
TWO_FOR_ONE = OFFSET(7 * LANES)  # a note split or two joined, in both columns
ROWS = 9
BLOCK = OFFSET(ROWS * LANES)


NOT_REPEATED = OFFSET(1 << 16)  # beyond every kind


class PairScores(NamedTuple):
    """What the n notes of a lick score, or lose, with each kind of a song's notes; of one type."""

    lick_pitches: NDArray[np.int16]  # shape (n,)
    pitch: NDArray[np.integer]  # odd length, by half-steps apart; the ends hold for more
    # By beat and duration, shape (n_kinds, n):
    match: NDArray[np.integer]
    split: NDArray[np.integer]  # with a song's note and the one before, of its joined kind
    joined: NDArray[np.integer]  # of a note and the one before; ``unreached`` if not repeated
    lick_gaps: NDArray[np.integer]  # shape (2, n), the first note of a gap, each further one
    song_gaps: NDArray[np.integer]  # shape (2, n_kinds)


class Lanes(NamedTuple):
    """Scratch for one lick of n notes."""

    cells: NDArray[np.integer]  # a block that is never reached, then one for 0 to n notes
    by_distance: NDArray[np.integer]  # pitch scores, by transposition
    repeats: NDArray[np.bool_]  # shape (n,), whether a note repeats the one before
    best: NDArray[np.integer]  # shape (LANES,), the result


class Column(NamedTuple):
    """Where to look up what a note of the song scores; numbers alone, since arrays are counted."""

    base: int  # in ``by_distance``, of a lick's note of pitch 0 at the lowest transposition
    kind: np.uint64
    joined_kind: np.uint64  # of it and the note before, if it repeats that, else ``NOT_REPEATED``
    gap_open: int
    gap_extend: int


class Arithmetic(NamedTuple):
    """How what a path scores is added up, and which path is better."""

    add: Callable[..., Any]  # (type, one, other)
    better: Callable[..., Any]  # (one, other)


@inlined
def _plain_sum(number: type[np.integer], one: int, other: int) -> np.integer:
    return number(one + other)


@inlined
def _higher(one: int, other: int) -> int:
    return max(one, other)


@inlined
def _sum_up_to_255(number: type[np.integer], one: int, other: int) -> np.integer:
    total = number(one + other)  # wraps round where it overflows ...
    return number(MOST_LOST) if total < one else total  # ... and so is seen


@inlined
def _lower(one: int, other: int) -> int:
    return min(one, other)


MOST_LOST = 255  # or more
SCORES, LOSSES = Arithmetic(_plain_sum, _higher), Arithmetic(_sum_up_to_255, _lower)


def _twos_filler(
    new: np.uint64, old: np.uint64, older: np.uint64, arithmetic: Arithmetic
) -> Callable[..., None]:
    """Make a kernel for notes that are split or joined, as told in ``columns_filler``."""
    add, better = arithmetic

    @inlined
    def fill_twos(
        lanes: Lanes, scores: PairScores, first: Column, second: Column, i: int, nothing: int
    ) -> None:
        """Fill in what two columns score where two notes match one, for one note of the lick."""
        cells, by_distance = lanes.cells, lanes.by_distance
        number = cells.dtype.type
        above, here = OFFSET(i + 1) * BLOCK, OFFSET(i + 2) * BLOCK
        of_first = OFFSET(first.base + scores.lick_pitches[i])
        of_second = OFFSET(second.base + scores.lick_pitches[i])
        split = next_split = nothing
        if first.joined_kind != NOT_REPEATED:
            split = scores.split[first.joined_kind, i]
        if second.joined_kind != NOT_REPEATED:
            next_split = scores.split[second.joined_kind, i]
        joined, next_joined = scores.joined[first.kind, i], scores.joined[second.kind, i]
        for lane in range(ONE_ROW):
            pitch = by_distance[of_first + lane]
            cells[here + TWO_FOR_ONE + lane] = better(
                add(number, cells[above + older + lane], add(number, pitch, split)),
                add(number, cells[above - BLOCK + old + lane], add(number, pitch, joined)),
            )
            pitch = by_distance[of_second + lane]
            cells[here + TWO_FOR_ONE + ONE_ROW + lane] = better(
                add(number, cells[above + old + lane], add(number, pitch, next_split)),
                add(number, cells[above - BLOCK + new + lane], add(number, pitch, next_joined)),
            )

    return fill_twos


def _row_filler(
    new: np.uint64, newer: np.uint64, old: np.uint64, arithmetic: Arithmetic
) -> Callable[..., None]:
    """Make a kernel for the cells of two columns, as told in ``columns_filler``."""
    add, better = arithmetic

    @inlined
    def fill_row(
        lanes: Lanes, scores: PairScores, first: Column, second: Column, i: int, floor: int
    ) -> None:
        """Fill two columns' cells for one note of the lick."""
        cells, by_distance = lanes.cells, lanes.by_distance
        number = cells.dtype.type
        above, here = OFFSET(i + 1) * BLOCK, OFFSET(i + 2) * BLOCK
        of_first = OFFSET(first.base + scores.lick_pitches[i])
        of_second = OFFSET(second.base + scores.lick_pitches[i])
        lick_open, lick_extend = scores.lick_gaps[0, i], scores.lick_gaps[1, i]
        match, next_match = scores.match[first.kind, i], scores.match[second.kind, i]
        for lane in range(ONE_ROW):
            pair = add(number, by_distance[of_first + lane], match)
            pair = add(number, cells[above + old + lane], pair)
            score = better(pair, cells[here + TWO_FOR_ONE + lane])
            diagonal = cells[above + new + lane]
            gap = better(
                add(number, diagonal, lick_open),
                add(number, cells[above + IN_LICK_GAP + lane], lick_extend),
            )
            cells[here + IN_LICK_GAP + lane] = gap
            score = better(score, gap)
            gap = better(
                add(number, cells[here + old + lane], first.gap_open),
                add(number, cells[here + IN_SONG_GAP + lane], first.gap_extend),
            )
            score = better(better(score, gap), floor)
            cells[here + new + lane] = score

            gap = better(add(number, score, second.gap_open), add(number, gap, second.gap_extend))
            cells[here + IN_SONG_GAP + lane] = gap
            pair = add(number, by_distance[of_second + lane], next_match)
            pair = add(number, diagonal, pair)
            score = better(better(pair, cells[here + TWO_FOR_ONE + ONE_ROW + lane]), gap)
            gap = better(
                add(number, cells[above + newer + lane], lick_open),
                add(number, cells[above + IN_LICK_GAP + ONE_ROW + lane], lick_extend),
            )
            cells[here + IN_LICK_GAP + ONE_ROW + lane] = gap
            cells[here + newer + lane] = better(better(score, gap), floor)

    return fill_row


def columns_filler(place: int, arithmetic: Arithmetic) -> Callable[..., None]:
    """Make a kernel that fills two columns, the first or the second two of those kept.

    Constant offsets between what is read and written let the compiler work on many lanes at once.
    Two columns at a time halve what is fetched and stored.
    """
    new, newer, older, old = (OFFSET((2 * place + after) % 4 * LANES) for after in range(4))
    fill_twos = _twos_filler(new, old, older, arithmetic)
    fill_row = _row_filler(new, newer, old, arithmetic)

    @inlined
    def fill(
        lanes: Lanes, scores: PairScores, first: Column, second: Column, nothing: int, floor: int
    ) -> None:
        """Fill the columns of two notes of the song, one after the other.

        Parameters
        ----------
        nothing : int
            The score of what is never reached.
        floor : int
            The worst score of a cell.
        """
        song_repeats = first.joined_kind != NOT_REPEATED or second.joined_kind != NOT_REPEATED
        for i in range(len(scores.lick_pitches)):
            repeats = song_repeats or lanes.repeats[i]
            if repeats:
                fill_twos(lanes, scores, first, second, i, nothing)
            fill_row(lanes, scores, first, second, i, floor)
            if repeats:
                at = OFFSET(i + 2) * BLOCK + TWO_FOR_ONE
                for lane in range(BLOCK - TWO_FOR_ONE):
                    lanes.cells[at + lane] = nothing

    return fill
