"""Align one whole song with many: as wholes, and by their best common stretch.

The total at a transposition is the sum of both scores. Versions of one tune are recognised by both:
the wholes have to agree, yet an additional or missing verse must not hide a common tune.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.lane_columns import LANES, PairScores
from melodex.kernels.pair_alignment import (
    MIDI_NOTES,
    NO_SCORE,
    Ends,
    Songs,
    align_lanes,
    lanes_for,
    transpositions_between,
)
from melodex.kernels.pitch_content import (
    MostOfPairs,
    bound_transpositions,
    most_of_stretch,
    pitch_counts,
)


@compiled
def scan_whole_songs(
    songs: Songs,
    selected: NDArray[np.int64],
    scores: PairScores,
    most: MostOfPairs,
    needed: NDArray[np.int32],
    totals: NDArray[np.int32],
    transpositions: NDArray[np.int32],
) -> None:
    """Compute each song's greatest total and its transposition; O(lick * notes * LANES) a song.

    Parameters
    ----------
    selected : shape (n_selected,)
        Indices of songs with notes.
    most : MostOfPairs
        The bounds of ``scores``.
    needed : shape (n_selected,)
        Transpositions that cannot reach this total are skipped.
    totals, transpositions : shape (n_selected,)
        Output; a total is exact if it is at least ``needed``, and otherwise below it. Among equal
        totals, the lowest transposition (half-steps from lick to song, up is positive).
    """
    lanes = lanes_for(scores)
    of_whole = np.empty(LANES, np.int32)
    lick_counts = pitch_counts(scores.lick_pitches)
    whole, stretch = np.empty(2 * MIDI_NOTES, np.int32), np.empty(2 * MIDI_NOTES, np.int32)
    for place in range(len(selected)):
        begin, end = int(songs.first[selected[place]]), int(songs.first[selected[place] + 1])
        totals[place], transpositions[place] = NO_SCORE, 0
        pitches = songs.pitches[begin:end]
        n_notes = len(pitches) + len(scores.lick_pitches)
        lowest, highest = transpositions_between(scores.lick_pitches, pitches)
        bound_transpositions(
            lick_counts, pitch_counts(pitches), lowest, highest, most, whole, stretch
        )
        shift, last = _likely_shifts(whole, stretch, lowest, highest, needed[place])
        while shift <= last:
            n_lanes = min(LANES, last - shift + 1)
            align_lanes(songs, begin, end, scores, Ends.NONE, shift, lanes)
            for lane in range(LANES):
                of_whole[lane] = lanes.best[lane]
            least = max(needed[place], totals[place] + 1)
            likely = False
            for lane in range(n_lanes):
                most_of_lane = most_of_stretch(of_whole[lane], n_notes, most)
                most_of_lane = min(most_of_lane, stretch[shift + lane - lowest])
                likely |= of_whole[lane] + most_of_lane >= least
            if likely:
                align_lanes(songs, begin, end, scores, Ends.BOTH, shift, lanes)
                for lane in range(n_lanes):
                    total = of_whole[lane] + lanes.best[lane]
                    if total > totals[place]:
                        totals[place], transpositions[place] = total, shift + lane
            shift += LANES


@compiled
def _likely_shifts(
    whole: NDArray[np.int32], stretch: NDArray[np.int32], lowest: int, highest: int, needed: int
) -> tuple[int, int]:
    """Return the first and the last transposition whose bound is at least ``needed``."""
    shift, last = lowest, highest
    while shift <= last and whole[shift - lowest] + stretch[shift - lowest] < needed:
        shift += 1
    while last >= shift and whole[last - lowest] + stretch[last - lowest] < needed:
        last -= 1
    return shift, last
