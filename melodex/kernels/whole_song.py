"""Alignment of one whole song with many, neighbouring transpositions side by side.

All notes of both songs count. A pair scores 2 * similarity - 1, where similarity = pitch similarity
* (1 - beat_weight * |difference of beat strength|); a run of notes without an answer costs
``gap_open`` for its first note and ``gap_extend`` for each further one. The total is divided by the
number of notes of the shorter song, so that a song scores 1 with itself and none scores more.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled

LANES = 16  # transpositions side by side; few more are worth a look, see ``upper_bounds``
REACH = 2 * 127 + LANES  # no pair of MIDI notes is farther apart at any lane
MIDI_NOTES = 128
NO_SCORE = np.float32(-1e9)
ONE, TWO = np.float32(1.0), np.float32(2.0)
ROUNDING = np.float32(1e-3)  # more than rounding can lift a total above its bound


class Line(NamedTuple):
    """Notes in order of time; every array has shape (n_notes,)."""

    pitches: NDArray[np.int32]  # MIDI note numbers
    strengths: NDArray[np.float32]  # of the beat, 0 to 1


class WholeRules(NamedTuple):
    """What a pair of notes is worth and what notes without an answer cost."""

    similarity: NDArray[np.float32]  # shape (2 * REACH + 1,), by half-steps; the middle is 0
    beat_weight: np.float32
    gap_open: np.float32
    gap_extend: np.float32


@compiled
def upper_bounds(
    lines: Line,
    first: NDArray[np.int64],
    songs: NDArray[np.int64],
    own: Line,
    rules: WholeRules,
    bounds: NDArray[np.float32],
) -> None:
    """Fill in what each song can score at most; O(transpositions * pitches) a song.

    Parameters
    ----------
    lines : Line
        All songs' notes, one song after the other.
    first : shape (n_songs + 1,)
        Where each song begins.
    songs : shape (n_asked,)
        The songs wanted, each with a note at least.
    own : Line
        The song they are compared with, one note or more.
    bounds : shape (n_asked,)
        Filled.
    """
    own_counts = _counts(own.pitches)
    at_shift = np.empty(2 * MIDI_NOTES, np.float32)
    for asked in range(len(songs)):
        pitches = lines.pitches[first[songs[asked]] : first[songs[asked] + 1]]
        lowest = pitches.min() - own.pitches.max()
        highest = pitches.max() - own.pitches.min()
        _bounds_by_shift(own_counts, pitches, lowest, highest, rules, at_shift)
        bounds[asked] = at_shift[: highest - lowest + 1].max()


@compiled
def scan_songs(
    lines: Line,
    first: NDArray[np.int64],
    songs: NDArray[np.int64],
    own: Line,
    rules: WholeRules,
    floor: np.float32,
    scores: NDArray[np.float32],
    transpositions: NDArray[np.int32],
) -> None:
    """Fill in each song's score and its transposition; O(own * notes * LANES) time a song.

    Parameters
    ----------
    lines, first, songs, own, rules
        As for ``upper_bounds``.
    floor : float32
        Transpositions that cannot reach this score are left out.
    scores, transpositions : shape (n_asked,)
        Filled, the score exact where it is ``floor`` or more; ``NO_SCORE`` where it cannot be.
        Of equal scores the lowest transposition (half-steps from own up to the song) counts.
    """
    own_counts = _counts(own.pitches)
    at_shift = np.empty(2 * MIDI_NOTES, np.float32)
    totals = np.empty((2, len(own.pitches) + 1, LANES), np.float32)
    best = np.empty(LANES, np.float32)
    for asked in range(len(songs)):
        begin, end = int(first[songs[asked]]), int(first[songs[asked] + 1])
        pitches = lines.pitches[begin:end]
        scores[asked], transpositions[asked] = NO_SCORE, 0
        lowest = pitches.min() - own.pitches.max()
        highest = pitches.max() - own.pitches.min()
        _bounds_by_shift(own_counts, pitches, lowest, highest, rules, at_shift)
        shift, last = lowest, highest
        while shift <= last and at_shift[shift - lowest] < floor:
            shift += 1
        while last >= shift and at_shift[last - lowest] < floor:
            last -= 1
        shorter = np.float32(min(len(own.pitches), end - begin))
        while shift <= last:
            top = shift + LANES - 1
            _align_lanes(lines, begin, end, own, rules, top, totals, best)
            for lane in range(LANES - 1, -1, -1):
                score = best[lane] / shorter
                if score > scores[asked] and top - lane <= last:
                    scores[asked], transpositions[asked] = score, top - lane
            shift += LANES


@compiled
def _counts(pitches: NDArray[np.int32]) -> NDArray[np.int32]:
    counts = np.zeros(MIDI_NOTES, np.int32)
    for pitch in pitches:
        counts[pitch] += 1
    return counts


@compiled
def _bounds_by_shift(
    own_counts: NDArray[np.int32],
    pitches: NDArray[np.int32],
    lowest: int,
    highest: int,
    rules: WholeRules,
    at_shift: NDArray[np.float32],
) -> None:
    """Bound the score at every transposition by the pitches alone, out of their order.

    A pair adds 1 at most, and nothing unless its similarity is above a half; a pitch of one song
    has no more such pairs than it, and all its like in the other song, occur. The songs' difference
    in length must be left without an answer.
    """
    counts = _counts(pitches)
    n_own = own_counts.sum()
    shorter = np.float32(min(n_own, len(pitches)))
    left_over = abs(n_own - len(pitches))
    price = rules.gap_open + rules.gap_extend * (left_over - 1) if left_over else np.float32(0)
    widest = 0
    for apart in range(1, LANES):
        if rules.similarity[REACH + apart] > 1 / 2:
            widest = apart
    for shift in range(lowest, highest + 1):
        pairs = 0
        for own_pitch in range(max(0, -shift), min(MIDI_NOTES, MIDI_NOTES - shift)):
            if own_counts[own_pitch]:
                middle = own_pitch + shift
                alike = counts[max(middle - widest, 0) : middle + widest + 1].sum()
                pairs += min(own_counts[own_pitch], alike)
        at_shift[shift - lowest] = (pairs - price) / shorter + ROUNDING


@compiled
def _align_lanes(
    lines: Line,
    begin: int,
    end: int,
    own: Line,
    rules: WholeRules,
    top: int,
    totals: NDArray[np.float32],
    best: NDArray[np.float32],
) -> None:
    """Fill ``best`` with the total at each of ``LANES`` transpositions; lane l stands for top - l.

    ``totals`` is scratch: what ends with a song note, and what ends with a song note left over.

    Source
    ------
    Gotoh, "An improved algorithm for matching biological sequences", J. Mol. Biol. 162 (1982):
    the recurrences for affine gaps (from memory).
    """
    n = len(own.pitches)
    ending, song_gap = totals[0], totals[1]
    own_gap = np.empty(LANES, np.float32)
    before = np.empty(LANES, np.float32)  # the total one note back in both songs
    above = np.empty(LANES, np.float32)  # the total one own note back
    ending[0], song_gap[:] = 0, NO_SCORE
    for i in range(n):
        ending[i + 1] = -rules.gap_open - rules.gap_extend * i
    for j in range(begin, end):
        before[:] = ending[0]
        ending[0] = -rules.gap_open - rules.gap_extend * (j - begin)
        above[:] = ending[0]
        own_gap[:] = NO_SCORE
        for i in range(n):
            place = lines.pitches[j] - own.pitches[i] - top + REACH
            alike = rules.similarity[place : place + LANES]
            apart = abs(lines.strengths[j] - own.strengths[i])
            weight = TWO * (ONE - rules.beat_weight * apart)
            for lane in range(LANES):
                old = ending[i + 1, lane]
                in_song = max(old - rules.gap_open, song_gap[i + 1, lane] - rules.gap_extend)
                in_own = max(above[lane] - rules.gap_open, own_gap[lane] - rules.gap_extend)
                total = max(before[lane] + (weight * alike[lane] - ONE), max(in_song, in_own))
                before[lane] = old
                ending[i + 1, lane] = total
                song_gap[i + 1, lane] = in_song
                own_gap[lane] = in_own
                above[lane] = total
    best[:] = ending[n]
