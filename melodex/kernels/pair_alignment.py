"""Alignment of one melody with many, transpositions side by side.

The most likely path through a pair hidden Markov model, as log-odds against melodies that have
nothing to do with each other: states match, split (one note for two of its pitch), joined (two for
one), gap in the lick, gap in the song. A gap has a score for its first note and one for each note
that follows, by the kind of note.

All scores are whole numbers, ``UNIT`` to a natural unit of information (nat), in one integer type,
so that no order of adding changes a sum.

Source
------
Durbin, Eddy, Krogh & Mitchison, "Biological Sequence Analysis", 1998, chapters 2 and 4: pair hidden
Markov models, affine gaps, global, local and repeated matches (from memory).
"""

from collections.abc import Callable
from enum import IntEnum
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled, inlined
from melodex.kernels.lane_columns import (
    BLOCK,
    IN_SONG_GAP,
    LANES,
    NOT_REPEATED,
    OFFSET,
    ONE_ROW,
    ROWS,
    SCORES,
    Arithmetic,
    Column,
    Lanes,
    PairScores,
    columns_filler,
)

UNIT = 32  # to a nat; 16 to 64 rank alike
NO_SCORE = -(10**9)  # of a song without notes
# A score that no path has, in either type: far below any score, far above the least number.
UNREACHED_16, UNREACHED_32 = -12_000, -(10**8)
MIDI_NOTES = 128
# More half-steps than lie between two MIDI notes at any transposition of theirs, the lanes beyond
# the last included.
WIDEST = 320


class Ends(IntEnum):
    """Which notes may stay outside an alignment, at no cost."""

    SONG = 0  # those of the song before and after the lick: the whole lick anywhere in the song
    NONE = 1  # none: whole with whole
    BOTH = 2  # those of both: the best common stretch


class Songs(NamedTuple):
    """All songs' notes, one song after the other."""

    first: NDArray[np.int64]  # shape (n_songs + 1,), where each song begins
    pitches: NDArray[np.int16]  # shape (n_notes,), MIDI note numbers
    kinds: NDArray[np.uint16]  # shape (n_notes,)
    joined_kinds: NDArray[np.uint16]  # of each note and the one before as one


@compiled
def best_scores(
    songs: Songs,
    selected: NDArray[np.int64],
    scores: PairScores,
    ends: int,
    bonus: NDArray[np.integer],
    tonics: NDArray[np.int8],
    best: NDArray[np.int32],
    transpositions: NDArray[np.int32],
) -> None:
    """Find each song's best score, bonus included, and the transposition that has it.

    O(lick * notes * LANES) time.

    Parameters
    ----------
    selected : shape (n_selected,)
        Song numbers.
    ends : int
        One of ``Ends``.
    bonus : shape (12,)
        Added by the half-steps from the song's tonic, moved back to the lick, up the octave.
    tonics : shape (n_songs,)
        Pitch classes; -1 where unknown, without a bonus.
    best, transpositions : shape (n_selected,)
        Filled; ``NO_SCORE`` and 0 for a song without notes. Of equal scores the lowest
        transposition (half-steps from lick up to song) counts.
    """
    lanes = lanes_for(scores)
    for place in range(len(selected)):
        begin, end = int(songs.first[selected[place]]), int(songs.first[selected[place] + 1])
        best[place], transpositions[place] = NO_SCORE, 0
        if begin == end:
            continue
        lowest, highest = transpositions_between(scores.lick_pitches, songs.pitches[begin:end])
        tonic = tonics[selected[place]]
        while lowest <= highest:
            align_lanes(songs, begin, end, scores, ends, lowest, lanes)
            for lane in range(min(LANES, highest - lowest + 1)):
                score = np.int32(lanes.best[lane])
                if tonic >= 0:
                    score += bonus[(tonic - lowest - lane) % 12]
                if score > best[place]:
                    best[place], transpositions[place] = score, lowest + lane
            lowest += LANES


def unreached_in(number: type[np.signedinteger]) -> int:
    """Return the score of what cannot be reached, in an integer type."""
    return UNREACHED_16 if number is np.int16 else UNREACHED_32


@compiled
def transpositions_between(
    lick_pitches: NDArray[np.int16], song_pitches: NDArray[np.int16]
) -> tuple[int, int]:
    """Return the first and the last transposition, up to the song, that has notes in common."""
    low, high = MIDI_NOTES, -1
    for pitch in lick_pitches:
        low, high = min(low, int(pitch)), max(high, int(pitch))
    lowest, highest = MIDI_NOTES, -MIDI_NOTES
    for pitch in song_pitches:
        lowest, highest = min(lowest, int(pitch) - high), max(highest, int(pitch) - low)
    return lowest, highest


@compiled
def _unreached(scores: PairScores) -> int:
    return UNREACHED_16 if scores.match.itemsize == 2 else UNREACHED_32  # noqa: PLR2004


@compiled
def lanes_for(scores: PairScores) -> Lanes:
    """Make the scratch that aligning a lick needs."""
    n, number = len(scores.lick_pitches), scores.match.dtype.type
    repeats = np.zeros(n, np.bool_)
    for i in range(1, n):
        repeats[i] = scores.lick_pitches[i] == scores.lick_pitches[i - 1]
    return Lanes(
        np.empty((n + 2) * ROWS * LANES, number),
        _pitch_scores_by_distance(scores),
        repeats,
        np.empty(LANES, number),
    )


@compiled
def _pitch_scores_by_distance(scores: PairScores) -> NDArray[np.integer]:
    """Lay the pitch scores out so that neighbouring transpositions lie side by side."""
    reach = len(scores.pitch) // 2
    by_distance = np.empty(2 * WIDEST, scores.pitch.dtype)
    for place in range(len(by_distance)):
        by_distance[place] = scores.pitch[min(max(WIDEST - place, -reach), reach) + reach]
    return by_distance


@inlined
def _column(songs: Songs, scores: PairScores, j: int, has_before: bool, lowest: int) -> Column:
    """Look up a note of the song."""
    kind, repeats = songs.kinds[j], has_before and songs.pitches[j] == songs.pitches[j - 1]
    return Column(
        WIDEST - int(songs.pitches[j]) + lowest,
        OFFSET(kind),
        OFFSET(songs.joined_kinds[j]) if repeats else NOT_REPEATED,
        scores.song_gaps[0, kind],
        scores.song_gaps[1, kind],
    )


def _first_column_filler(arithmetic: Arithmetic) -> Callable[..., np.integer]:
    """Make a kernel for the cells before any note of the song."""
    add, better = arithmetic

    @inlined
    def fill_first_column(scores: PairScores, ends: int, nothing: int, lanes: Lanes) -> np.integer:
        """Fill in what the lick's first notes score alone; return the last."""
        lanes.cells[:] = nothing
        lanes.cells[BLOCK : BLOCK + IN_SONG_GAP] = 0  # song notes before the lick cost nothing
        number = lanes.cells.dtype.type
        skipped = number(0)
        for i in range(len(scores.lick_pitches) + 1):
            if i > 0 and ends != Ends.BOTH:
                gap_open, gap_extend = scores.lick_gaps[0, i - 1], scores.lick_gaps[1, i - 1]
                further = add(number, skipped, better(gap_open, gap_extend))
                skipped = gap_open if i == 1 else further
            before = OFFSET(i + 1) * BLOCK + OFFSET(3 * LANES)  # the last of the four columns
            lanes.cells[before : before + ONE_ROW] = skipped
        return skipped

    return fill_first_column


def _best_keeper(better: Callable[..., Any]) -> Callable[..., None]:
    """Make a kernel that keeps each lane's best."""

    @inlined
    def keep_best(lanes: Lanes, at: np.uint64, n_columns: int) -> None:
        """Keep the cells from a place on, where they are better than the best so far."""
        if n_columns == 1:
            for lane in range(ONE_ROW):
                lanes.best[lane] = better(lanes.best[lane], lanes.cells[at + lane])
        else:
            for lane in range(ONE_ROW):
                score = better(lanes.cells[at + lane], lanes.cells[at + ONE_ROW + lane])
                lanes.best[lane] = better(lanes.best[lane], score)

    return keep_best


def aligner(arithmetic: Arithmetic) -> Callable[..., None]:
    """Make a kernel that aligns a lick with one song at ``LANES`` transpositions."""
    add, better = arithmetic
    fill_first_two, fill_second_two = columns_filler(0, arithmetic), columns_filler(1, arithmetic)
    fill_first_column, keep_best = _first_column_filler(arithmetic), _best_keeper(better)

    @inlined
    def align(
        songs: Songs,
        stretch: tuple[int, int],
        scores: PairScores,
        ends: int,
        lowest: int,
        lanes: Lanes,
        worst: tuple[int, int],
    ) -> None:
        """Fill ``lanes.best``; of the worst, what is never reached and what no cell is below."""
        begin, end = stretch
        number = lanes.cells.dtype.type
        lanes.best[:] = fill_first_column(scores, ends, worst[0], lanes)
        n, place = len(scores.lick_pitches), OFFSET(0)
        skipped: Any = number(0)  # leaving out all song notes so far, where that costs
        for j in range(begin, end, 2):
            n_new = min(2, end - j)  # of an odd number the last is filled twice, and counts once
            first = _column(songs, scores, j, j > begin, lowest)
            second = _column(songs, scores, j + n_new - 1, True, lowest)
            place = OFFSET((j - begin) % 4 * LANES)
            if ends == Ends.NONE:
                further = add(number, skipped, better(first.gap_open, first.gap_extend))
                skipped = first.gap_open if j == begin else further
                lanes.cells[BLOCK + place : BLOCK + place + ONE_ROW] = skipped
                skipped = add(number, skipped, better(second.gap_open, second.gap_extend))
                lanes.cells[BLOCK + place + ONE_ROW : BLOCK + place + ONE_ROW + ONE_ROW] = skipped
            if place == 0:
                fill_first_two(lanes, scores, first, second, worst)
            else:
                fill_second_two(lanes, scores, first, second, worst)
            if ends != Ends.NONE:
                for notes in range(1 if ends == Ends.BOTH else n, n + 1):
                    keep_best(lanes, OFFSET(notes + 1) * BLOCK + place, n_new)
        if ends == Ends.NONE:
            last = OFFSET(n + 1) * BLOCK + place + OFFSET((end - begin - 1) % 2 * LANES)
            for lane in range(ONE_ROW):  # a slice for a slice would take two seconds to compile
                lanes.best[lane] = lanes.cells[last + lane]

    return align


_align_scores = aligner(SCORES)


@compiled
def align_lanes(
    songs: Songs,
    begin: int,
    end: int,
    scores: PairScores,
    ends: int,
    lowest: int,
    lanes: Lanes,
) -> None:
    """Fill ``lanes.best`` with one song's best score at each transposition from the lowest up."""
    nothing = lanes.cells.dtype.type(_unreached(scores))
    floor = lanes.cells.dtype.type(0) if ends == Ends.BOTH else nothing
    _align_scores(songs, (begin, end), scores, ends, lowest, lanes, (nothing, floor))
