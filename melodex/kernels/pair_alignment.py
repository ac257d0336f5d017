"""Align one melody with many, transpositions side by side.

Computes the most likely path through a pair hidden Markov model, as log-odds against unrelated
melodies. Its states are match, split (one note matches two of its pitch), joined (two match one),
gap in the lick, gap in the song. A gap has a score for its first note and one for each further
note, by the kind of note.

All scores are integers, ``UNIT`` to a natural unit of information (nat), in one integer type, so
that sums do not depend on the order of addition.

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
    LaneMemory,
    PairScores,
    columns_filler,
)

UNIT = 32  # to a nat; 16 to 64 give the same ranking
NO_SCORE = -(10**9)  # for a song without notes
# Scores of unreachable cells in either type: far below any score, far above the smallest number.
UNREACHED_16, UNREACHED_32 = -12_000, -(10**8)
MIDI_NOTES = 128
# More half-steps than the distance of any two MIDI notes at any transposition, including lanes
# beyond the last one.
WIDEST = 320


class Ends(IntEnum):
    """Which notes may be outside an alignment, at no cost."""

    SONG = 0  # song notes before and after the lick: the whole lick anywhere in the song
    NONE = 1  # none: whole against whole
    BOTH = 2  # notes of both: the best common stretch


class Songs(NamedTuple):
    """All songs' notes, concatenated."""

    first: NDArray[np.int64]  # shape (n_songs + 1,), the start of each song
    pitches: NDArray[np.int16]  # shape (n_notes,), MIDI note numbers
    kinds: NDArray[np.uint16]  # shape (n_notes,)
    joined_kinds: NDArray[np.uint16]  # of each note merged with the one before


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
    """Compute each song's best score, including the bonus, and its transposition.

    O(lick * notes * LANES) time.

    Parameters
    ----------
    selected : shape (n_selected,)
        Song indices.
    ends : int
        One of ``Ends``.
    bonus : shape (12,)
        Added to the score; indexed by the pitch class of the song's tonic transposed back to the
        lick.
    tonics : shape (n_songs,)
        Pitch classes; -1 if unknown, without a bonus.
    best, transpositions : shape (n_selected,)
        Output; ``NO_SCORE`` and 0 for a song without notes. Among equal scores, the lowest
        transposition (half-steps from lick to song, up is positive).
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
    """Return the score of an unreachable cell in an integer type."""
    return UNREACHED_16 if number is np.int16 else UNREACHED_32


@compiled
def transpositions_between(
    lick_pitches: NDArray[np.int16], song_pitches: NDArray[np.int16]
) -> tuple[int, int]:
    """Return the first and the last transposition to the song with a pitch in common."""
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
def lanes_for(scores: PairScores) -> LaneMemory:
    """Return the scratch memory for aligning a lick."""
    n, number = len(scores.lick_pitches), scores.match.dtype.type
    repeats = np.zeros(n, np.bool_)
    for i in range(1, n):
        repeats[i] = scores.lick_pitches[i] == scores.lick_pitches[i - 1]
    return LaneMemory(
        np.empty((n + 2) * ROWS * LANES, number),
        _pitch_scores_by_distance(scores),
        repeats,
        np.empty(LANES, number),
    )


@compiled
def _pitch_scores_by_distance(scores: PairScores) -> NDArray[np.integer]:
    """Lay out pitch scores so that neighbouring transpositions are adjacent."""
    reach = len(scores.pitch) // 2
    by_distance = np.empty(2 * WIDEST, scores.pitch.dtype)
    for place in range(len(by_distance)):
        by_distance[place] = scores.pitch[min(max(WIDEST - place, -reach), reach) + reach]
    return by_distance


@inlined
def _column(songs: Songs, scores: PairScores, j: int, has_before: bool, lowest: int) -> Column:
    """Return the lookup positions of a note of the song."""
    kind, repeats = songs.kinds[j], has_before and songs.pitches[j] == songs.pitches[j - 1]
    return Column(
        WIDEST - int(songs.pitches[j]) + lowest,
        OFFSET(kind),
        OFFSET(songs.joined_kinds[j]) if repeats else NOT_REPEATED,
        scores.song_gaps[0, kind, 0],
        scores.song_gaps[1, kind, 0],
    )


def _first_column_filler(arithmetic: Arithmetic) -> Callable[..., np.integer]:
    """Return a kernel for the cells before any note of the song."""
    add, better = arithmetic

    @inlined
    def fill_first_column(
        scores: PairScores, ends: int, nothing: int, lanes: LaneMemory
    ) -> np.integer:
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
            before = OFFSET(i + 1) * BLOCK + OFFSET(3 * LANES)  # last of the four columns
            lanes.cells[before : before + ONE_ROW] = skipped
        return skipped

    return fill_first_column


def _best_keeper(better: Callable[..., Any]) -> Callable[..., None]:
    """Return a kernel that keeps the best score of each lane."""

    @inlined
    def keep_best(lanes: LaneMemory, at: np.uint64, n_columns: int) -> None:
        """Update the best scores with the cells from an index on."""
        if n_columns == 1:
            for lane in range(ONE_ROW):
                lanes.best[lane] = better(lanes.best[lane], lanes.cells[at + lane])
        else:
            for lane in range(ONE_ROW):
                score = better(lanes.cells[at + lane], lanes.cells[at + ONE_ROW + lane])
                lanes.best[lane] = better(lanes.best[lane], score)

    return keep_best


def aligner(arithmetic: Arithmetic) -> Callable[..., None]:
    """Return a kernel that aligns a lick with one song at ``LANES`` transpositions."""
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
        lanes: LaneMemory,
        worst: tuple[int, int],
    ) -> None:
        """Fill ``lanes.best``; ``worst`` is the unreachable score, then the worst of a cell."""
        begin, end = stretch
        number = lanes.cells.dtype.type
        lanes.best[:] = fill_first_column(scores, ends, worst[0], lanes)
        n, place = len(scores.lick_pitches), OFFSET(0)
        skipped: Any = number(0)  # cost of skipping all song notes so far, if any
        for j in range(begin, end, 2):
            n_new = min(2, end - j)  # of an odd number the last is filled twice, but counts once
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
            for lane in range(ONE_ROW):  # assigning slices would take two seconds to compile
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
    lanes: LaneMemory,
) -> None:
    """Fill ``lanes.best`` with one song's best score at each transposition from the lowest up."""
    nothing = lanes.cells.dtype.type(_unreached(scores))
    floor = lanes.cells.dtype.type(0) if ends == Ends.BOTH else nothing
    _align_scores(songs, (begin, end), scores, ends, lowest, lanes, (nothing, floor))
