"""Alignment of one melody with many, transpositions side by side.

The most likely path through a pair hidden Markov model, as log-odds against melodies that have
nothing to do with each other: states match, split (one note for two of its pitch), joined (two for
one), gap in the lick, gap in the song. A gap has a score for its first note and one for each note
that follows, by the kind of note.

All scores are whole numbers, ``UNIT`` to a natural unit of information (nat), in one integer type,
so that no order of adding changes a sum. The innermost loop runs over ``LANES`` neighbouring
transpositions.

Source
------
Durbin, Eddy, Krogh & Mitchison, "Biological Sequence Analysis", 1998, chapters 2 and 4: pair hidden
Markov models, affine gaps, global, local and repeated matches (from memory).
"""

from collections.abc import Callable
from enum import IntEnum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

UNIT = 32  # to a nat; 16 to 64 rank alike
LANES = 32  # transpositions; most pairs of melodies leave no more of them to try
NO_SCORE = -(10**9)  # of a song without notes
# What no path is worth, in either type: far below any score, far above the least number.
UNREACHED_16, UNREACHED_32 = -12_000, -(10**8)
# More half-steps than lie between two MIDI notes at any transposition of theirs, the lanes beyond
# the last included.
WIDEST = 320

# Unsigned offsets: compiled code would look for negative ones, and not work on many cells at once.
OFFSET = np.uint64
_LANES = OFFSET(LANES)
_BLOCK = OFFSET(4 * LANES)  # of a note of the lick: three columns' scores and its gap in the song
_GAP = OFFSET(3 * LANES)


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


class PairScores(NamedTuple):
    """What the n notes of a lick score with each kind of a song's notes; all of one type."""

    lick_pitches: NDArray[np.int16]  # shape (n,)
    pitch: NDArray[np.signedinteger]  # odd length, by half-steps apart; the ends hold for more
    # By beat and duration, shape (n_kinds, n):
    match: NDArray[np.signedinteger]
    split: NDArray[np.signedinteger]  # with a song's note and the one before, of its joined kind
    joined: NDArray[np.signedinteger]  # of a note and the one before; ``unreached`` if not repeated
    lick_gaps: NDArray[np.signedinteger]  # shape (2, n), the first note of a gap, each further one
    song_gaps: NDArray[np.signedinteger]  # shape (2, n_kinds)


@compiled
def best_scores(
    songs: Songs,
    selected: NDArray[np.int64],
    scores: PairScores,
    ends: int,
    bonus: NDArray[np.signedinteger],
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
    n = len(scores.lick_pitches)
    number = scores.match.dtype.type
    cells = np.empty((n + 2) * 4 * LANES, number)
    in_lick = np.empty(LANES, number)
    lane_best = np.empty(LANES, number)
    by_distance = pitch_scores_by_distance(scores)
    for place in range(len(selected)):
        begin, end = int(songs.first[selected[place]]), int(songs.first[selected[place] + 1])
        best[place], transpositions[place] = NO_SCORE, 0
        if begin == end:
            continue
        lowest = int(songs.pitches[begin:end].min()) - int(scores.lick_pitches.max())
        highest = int(songs.pitches[begin:end].max()) - int(scores.lick_pitches.min())
        tonic = tonics[selected[place]]
        while lowest <= highest:
            align_lanes(
                songs, begin, end, scores, ends, lowest, by_distance, cells, in_lick, lane_best
            )
            for lane in range(min(LANES, highest - lowest + 1)):
                score = np.int32(lane_best[lane])
                if tonic >= 0:
                    score += bonus[(tonic - lowest - lane) % 12]
                if score > best[place]:
                    best[place], transpositions[place] = score, lowest + lane
            lowest += LANES


def unreached_in(number: type[np.signedinteger]) -> int:
    """Return the score of what cannot be reached, in an integer type."""
    return UNREACHED_16 if number is np.int16 else UNREACHED_32


@compiled
def _unreached(scores: PairScores) -> int:
    return UNREACHED_16 if scores.match.itemsize == 2 else UNREACHED_32  # noqa: PLR2004


@compiled
def pitch_scores_by_distance(scores: PairScores) -> NDArray[np.signedinteger]:
    """Lay the pitch scores out so that neighbouring transpositions lie side by side."""
    reach = len(scores.pitch) // 2
    by_distance = np.empty(2 * WIDEST, scores.pitch.dtype)
    for place in range(len(by_distance)):
        by_distance[place] = scores.pitch[min(max(WIDEST - place, -reach), reach) + reach]
    return by_distance


def _column_filler(place: int) -> Callable[..., None]:
    """Make a kernel that fills one of the three columns kept at a time.

    Constant offsets between what is read and written let the compiler work on many lanes at once.
    """
    new, old, older = (OFFSET((place - back) % 3 * LANES) for back in range(3))

    @compiled
    def fill(
        cells: NDArray[np.signedinteger],
        in_lick: NDArray[np.signedinteger],
        by_distance: NDArray[np.signedinteger],
        base: int,
        lick_pitches: NDArray[np.int16],
        matches: NDArray[np.signedinteger],
        splits: NDArray[np.signedinteger],
        joineds: NDArray[np.signedinteger],
        lick_gaps: NDArray[np.signedinteger],
        song_open: int,
        song_extend: int,
        floor: int,
    ) -> None:
        """Fill a column for one note of the song, at all transpositions.

        ``cells`` has a block that is never reached, then one for each number of notes of the lick,
        from 0: the scores in three columns, the newest and the two before, and the score with the
        song's note in a gap. ``in_lick`` is the score with the lick's note in a gap.
        """
        number = cells.dtype.type
        for i in range(len(lick_pitches)):
            above = OFFSET(i + 1) * _BLOCK
            distance = OFFSET(base + lick_pitches[i])
            of_match, of_split, of_joined = matches[i], splits[i], joineds[i]
            lick_open, lick_extend = lick_gaps[0, i], lick_gaps[1, i]
            for lane in range(_LANES):
                pitch = by_distance[distance + lane]
                score = number(cells[above + old + lane] + number(pitch + of_match))
                score = max(score, number(cells[above + older + lane] + number(pitch + of_split)))
                score = max(
                    score, number(cells[above - _BLOCK + old + lane] + number(pitch + of_joined))
                )
                gap = max(
                    number(cells[above + new + lane] + lick_open),
                    number(in_lick[lane] + lick_extend),
                )
                in_lick[lane] = gap
                score = max(score, gap)
                gap = max(
                    number(cells[above + _BLOCK + old + lane] + song_open),
                    number(cells[above + _BLOCK + _GAP + lane] + song_extend),
                )
                cells[above + _BLOCK + _GAP + lane] = gap
                cells[above + _BLOCK + new + lane] = max(score, gap, floor)  # type: ignore[call-overload]

    return fill


_fill_0, _fill_1, _fill_2 = (_column_filler(place) for place in range(3))


@compiled
def align_lanes(
    songs: Songs,
    begin: int,
    end: int,
    scores: PairScores,
    ends: int,
    lowest: int,
    by_distance: NDArray[np.signedinteger],
    cells: NDArray[np.signedinteger],
    in_lick: NDArray[np.signedinteger],
    lane_best: NDArray[np.signedinteger],
) -> None:
    """Fill ``lane_best`` with one song's best score at each transposition from the lowest up.

    ``cells`` and ``in_lick`` are scratch, see ``_column_filler``.
    """
    n, number = len(scores.lick_pitches), cells.dtype.type
    nothing = number(_unreached(scores))
    local = ends == Ends.BOTH
    floor = number(0) if local else nothing
    _fill_first_column(scores, ends, int(nothing), cells)
    lane_best[:] = cells[OFFSET(n + 1) * _BLOCK] if ends == Ends.SONG else floor
    never = np.full(n, nothing, cells.dtype)
    skipped = 0  # the score of leaving out all song notes so far, one more than the last
    for j in range(begin, end):
        kind = songs.kinds[j]
        gap_open, gap_extend = scores.song_gaps[0, kind], scores.song_gaps[1, kind]
        split = never
        if j > begin and songs.pitches[j] == songs.pitches[j - 1]:
            split = scores.split[songs.joined_kinds[j]]
        base = WIDEST - int(songs.pitches[j]) + lowest
        if ends == Ends.NONE:
            skipped = gap_open if j == begin else skipped + max(gap_open, gap_extend)
        in_lick[:] = nothing
        column = OFFSET((j - begin + 1) % 3 * LANES)
        cells[_BLOCK + column : _BLOCK + column + _LANES] = number(skipped)
        if column == 0:
            _fill_0(
                cells, in_lick, by_distance, base, scores.lick_pitches, scores.match[kind], split,
                scores.joined[kind], scores.lick_gaps, gap_open, gap_extend, floor,
            )  # fmt: skip
        elif column == _LANES:
            _fill_1(
                cells, in_lick, by_distance, base, scores.lick_pitches, scores.match[kind], split,
                scores.joined[kind], scores.lick_gaps, gap_open, gap_extend, floor,
            )  # fmt: skip
        else:
            _fill_2(
                cells, in_lick, by_distance, base, scores.lick_pitches, scores.match[kind], split,
                scores.joined[kind], scores.lick_gaps, gap_open, gap_extend, floor,
            )  # fmt: skip
        if local:
            for i in range(n):
                _keep_best(lane_best, cells, OFFSET(i + 2) * _BLOCK + column)
        elif ends == Ends.SONG or j == end - 1:
            _keep_best(lane_best, cells, OFFSET(n + 1) * _BLOCK + column)


@compiled
def _keep_best(
    lane_best: NDArray[np.signedinteger], cells: NDArray[np.signedinteger], at: np.uint64
) -> None:
    """Raise each lane's best score to that of the cells from a place on, if that is higher."""
    for lane in range(_LANES):
        lane_best[lane] = max(lane_best[lane], cells[at + lane])


@compiled
def _fill_first_column(
    scores: PairScores, ends: int, nothing: int, cells: NDArray[np.signedinteger]
) -> None:
    """Fill in what the lick's first notes score before any note of the song."""
    cells[:] = nothing
    skipped = 0
    for i in range(len(scores.lick_pitches) + 1):
        if i > 0 and ends != Ends.BOTH:
            gap_open, gap_extend = scores.lick_gaps[0, i - 1], scores.lick_gaps[1, i - 1]
            skipped = gap_open if i == 1 else skipped + max(gap_open, gap_extend)
        start = OFFSET(i + 1) * _BLOCK
        cells[start : start + _LANES] = skipped
