"""Compute two columns of an alignment at a time, for many transpositions side by side.

A column belongs to a note of the song, and a cell of it to a number of the lick's notes: the best
score of a path through those notes. The innermost loops run over ``LANES`` neighbouring
transpositions.

Scores are added up, and the highest is best. Losses (differences from the highest possible score)
are added up too, and the lowest is best: since they are never negative they fit into bytes, of
which twice as many are computed at once.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import inlined

LANES = 32  # transpositions; most pairs of melodies have no more to try

# Unsigned offsets: with signed ones, the compiler checks for negative indices and does not
# vectorise.
OFFSET = np.uint64
ONE_ROW = OFFSET(LANES)
# A block of cells belongs to a number of the lick's notes: scores in the two columns being filled
# and in the two before, in either order; then the additional state of the columns.
IN_SONG_GAP = OFFSET(4 * LANES)  # best path with the song's last note in a gap
IN_LICK_GAP = OFFSET(5 * LANES)  # best path with the lick's last note in a gap, in both columns
ROWS = 7
BLOCK = OFFSET(ROWS * LANES)


NOT_REPEATED = OFFSET(1 << 16)  # larger than any kind


class PairScores(NamedTuple):
    """Scores, or losses, of the n notes of a lick for each kind of song notes; all of one type."""

    lick_pitches: NDArray[np.int16]  # shape (n,)
    pitch: NDArray[np.integer]  # odd length, by difference in half-steps; the ends apply beyond
    # By beat and duration, shape (n_kinds, n):
    match: NDArray[np.integer]
    split: NDArray[np.integer]  # with a song's note and the one before, of its joined kind
    joined: NDArray[np.integer]  # of a note and the one before; ``unreached`` if not repeated
    lick_gaps: NDArray[np.integer]  # shape (2, n): first note of a gap, each further one
    # Shape (2, n_kinds, n + 1), by how many of the lick's notes come before the gap.
    song_gaps: NDArray[np.integer]


class LaneMemory(NamedTuple):
    """Scratch memory for one lick of n notes."""

    cells: NDArray[np.integer]  # a block that is never reached, then one for each of 0 to n notes
    by_distance: NDArray[np.integer]  # pitch scores, by transposition
    repeats: NDArray[np.bool_]  # shape (n,), whether a note repeats the previous one
    best: NDArray[np.integer]  # shape (LANES,), the result


class Column(NamedTuple):
    """Where to look up a song note's scores; numbers only, since arrays are reference-counted."""

    base: int  # index in ``by_distance`` of a lick note of pitch 0 at the lowest transposition
    kind: np.uint64
    joined_kind: np.uint64  # with the note before if repeated, else ``NOT_REPEATED``
    gap_open: int  # in a gap before the lick's first note
    gap_extend: int


class PairOfNotes(NamedTuple):
    """Rhythm scores of two notes; for a note and two repeated ones, of all three."""

    match: int
    split: int
    joined: int
    gap_open: int  # of the song's note, in a gap after the lick's
    gap_extend: int


class Arithmetic(NamedTuple):
    """How scores of a path are added, and which path is better."""

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
    total = number(one + other)  # wraps around on overflow ...
    return number(MOST_LOST) if total < one else total  # ... which is detected here


@inlined
def _lower(one: int, other: int) -> int:
    return min(one, other)


MOST_LOST = 255  # or more
SCORES, LOSSES = Arithmetic(_plain_sum, _higher), Arithmetic(_sum_up_to_255, _lower)


def _pair_chooser(arithmetic: Arithmetic, *, twos: bool) -> Callable[..., Any]:
    """Return a kernel that scores a song note against a lick note, or two against one."""
    add, better = arithmetic

    @inlined
    def one_for_one(
        number: type[np.integer], pitch: int, before: tuple[int, int, int], rhythm: PairOfNotes
    ) -> np.integer:
        score: np.integer = add(number, before[0], add(number, pitch, rhythm.match))
        return score

    @inlined
    def best_of_three(
        number: type[np.integer], pitch: int, before: tuple[int, int, int], rhythm: PairOfNotes
    ) -> np.integer:
        two_for_one = add(number, before[1], add(number, pitch, rhythm.split))
        one_for_two = add(number, before[2], add(number, pitch, rhythm.joined))
        best = better(two_for_one, one_for_two)
        score: np.integer = better(one_for_one(number, pitch, before, rhythm), best)
        return score

    return best_of_three if twos else one_for_one


@inlined
def _look_up(scores: PairScores, column: Column, i: int, nothing: int) -> PairOfNotes:
    """Look up the rhythm scores of a song note and a lick note."""
    split = nothing
    if column.joined_kind != NOT_REPEATED:
        split = scores.split[column.joined_kind, i]
    return PairOfNotes(
        scores.match[column.kind, i],
        split,
        scores.joined[column.kind, i],
        scores.song_gaps[0, column.kind, i + 1],
        scores.song_gaps[1, column.kind, i + 1],
    )


def _gap_chooser(arithmetic: Arithmetic) -> Callable[..., Any]:
    """Return a kernel that opens a gap after a score, or extends an open one."""
    add, better = arithmetic

    @inlined
    def best_gap(
        number: type[np.integer], before: int, opens: int, gap: int, extends: int
    ) -> np.integer:
        score: np.integer = better(add(number, before, opens), add(number, gap, extends))
        return score

    return best_gap


def _row_filler(
    columns: tuple[np.uint64, ...], arithmetic: Arithmetic, *, twos: bool
) -> Callable[..., None]:
    """Return a kernel for the cells of two columns, as described in ``columns_filler``."""
    new, newer, older, old = columns
    better, best_gap = arithmetic.better, _gap_chooser(arithmetic)
    best_pair = _pair_chooser(arithmetic, twos=twos)

    @inlined
    def fill_row(
        lanes: LaneMemory,
        scores: PairScores,
        first: Column,
        second: Column,
        i: int,
        worst: tuple[int, int],
    ) -> None:
        """Fill the cells of two columns for one note of the lick."""
        cells, by_distance, (nothing, floor) = lanes.cells, lanes.by_distance, worst
        number, pitch = cells.dtype.type, scores.lick_pitches[i]
        above, here = OFFSET(i + 1) * BLOCK, OFFSET(i + 2) * BLOCK
        of_first, of_second = OFFSET(first.base + pitch), OFFSET(second.base + pitch)
        opens, extends = scores.lick_gaps[0, i], scores.lick_gaps[1, i]
        rhythms = (_look_up(scores, first, i, nothing), _look_up(scores, second, i, nothing))
        for lane in range(ONE_ROW):
            # One note back in each melody; two in the song and one in the lick; the reverse.
            before = (
                cells[above + old + lane],
                cells[above + older + lane],
                cells[above - BLOCK + old + lane],
            )
            score = best_pair(number, by_distance[of_first + lane], before, rhythms[0])
            diagonal = cells[above + new + lane]
            gap = best_gap(number, diagonal, opens, cells[above + IN_LICK_GAP + lane], extends)
            cells[here + IN_LICK_GAP + lane], score = gap, better(score, gap)
            so_far, gap = cells[here + old + lane], cells[here + IN_SONG_GAP + lane]
            gap = best_gap(number, so_far, rhythms[0].gap_open, gap, rhythms[0].gap_extend)
            score = better(better(score, gap), floor)
            cells[here + new + lane] = score

            gap = best_gap(number, score, rhythms[1].gap_open, gap, rhythms[1].gap_extend)
            cells[here + IN_SONG_GAP + lane] = gap
            before = (diagonal, cells[above + old + lane], cells[above - BLOCK + new + lane])
            score = best_pair(number, by_distance[of_second + lane], before, rhythms[1])
            score = better(score, gap)
            so_far, gap = cells[above + newer + lane], cells[above + IN_LICK_GAP + ONE_ROW + lane]
            gap = best_gap(number, so_far, opens, gap, extends)
            cells[here + IN_LICK_GAP + ONE_ROW + lane] = gap
            cells[here + newer + lane] = better(better(score, gap), floor)

    return fill_row


def columns_filler(place: int, arithmetic: Arithmetic) -> Callable[..., None]:
    """Return a kernel that fills two columns: the first or the last two of those stored.

    Constant offsets between reads and writes let the compiler vectorise over lanes. Filling two
    columns at a time halves the memory traffic.
    """
    columns = tuple(OFFSET((2 * place + after) % 4 * LANES) for after in range(4))
    fill_row = _row_filler(columns, arithmetic, twos=False)
    fill_row_with_twos = _row_filler(columns, arithmetic, twos=True)

    @inlined
    def fill(
        lanes: LaneMemory, scores: PairScores, first: Column, second: Column, worst: tuple[int, int]
    ) -> None:
        """Fill the columns of two successive notes of the song.

        Parameters
        ----------
        worst : (int, int)
            The score of an unreachable cell, and the worst possible score of a cell.
        """
        song_repeats = first.joined_kind != NOT_REPEATED or second.joined_kind != NOT_REPEATED
        for i in range(len(scores.lick_pitches)):
            if song_repeats or lanes.repeats[i]:
                fill_row_with_twos(lanes, scores, first, second, i, worst)
            else:
                fill_row(lanes, scores, first, second, i, worst)

    return fill
