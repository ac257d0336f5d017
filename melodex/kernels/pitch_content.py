"""Upper bounds on the score of two melodies, from their pitches without regard to order."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import (
    MIDI_NOTES,
    UNREACHED_16,
    Songs,
    transpositions_between,
)


class MostOfPairs(NamedTuple):
    """Bounds on what notes can add to a score, in the kernels' units."""

    same: int  # a pair at the same pitch
    near: int  # a pair a half-step apart; not above ``same``
    far: int  # any other pair; not above ``near``
    left_out: int  # a note in a gap, or the second of two that match one; at most 0
    opens: int  # minimum for the first note of a gap; at most 0
    extends: int  # minimum for each further note of a gap; at most 0


def most_of_pairs(scores: PairScores) -> MostOfPairs:
    """Return bounds on the score of any two notes, and of any note left out."""
    middle, match = len(scores.pitch) // 2, int(scores.match.max())
    reached = scores.joined[scores.joined > UNREACHED_16]
    twos = max(int(scores.split.max()), int(reached.max(initial=UNREACHED_16)))
    gaps = max(int(scores.lick_gaps.max()), int(scores.song_gaps.max()))
    far = max(int(scores.pitch[: middle - 1].max()), int(scores.pitch[middle + 2 :].max()))
    near = max(int(scores.pitch[middle - 1]), int(scores.pitch[middle + 1]), far)
    return MostOfPairs(
        same=max(int(scores.pitch[middle]), near) + match,
        near=near + match,
        far=far + match,
        left_out=min(0, max(gaps, twos - match)),
        opens=min(0, int(scores.lick_gaps[0].min()), int(scores.song_gaps[0].min())),
        extends=min(0, int(scores.lick_gaps[1].min()), int(scores.song_gaps[1].min())),
    )


@compiled
def most_of_stretch(whole: int, n_notes: int, most: MostOfPairs) -> int:
    """Bound the score of two melodies' best common stretch by their score as wholes.

    A stretch with gaps before and after it is an alignment of the wholes. A stretch that scores s
    has at least s / ``most.same`` pairs, and twice as many notes, which are not in those gaps.

    Parameters
    ----------
    whole : int
        The score at some transposition; the bound is for the same one.
    n_notes : int
        Number of notes of both melodies together.
    """
    if most.same <= 0:
        return 0
    without_gaps = whole - 4 * most.opens - most.extends * n_notes
    return max(0, without_gaps * most.same // (most.same - 2 * most.extends) + 1)


@compiled
def pitch_counts(pitches: NDArray[np.int16]) -> NDArray[np.int32]:
    """Return the number of notes at each MIDI pitch."""
    counts = np.zeros(MIDI_NOTES, np.int32)
    for pitch in pitches:
        counts[pitch] += 1
    return counts


@compiled
def bound_transpositions(
    lick_counts: NDArray[np.int32],
    song_counts: NDArray[np.int32],
    lowest: int,
    highest: int,
    most: MostOfPairs,
    whole: NDArray[np.int32],
    stretch: NDArray[np.int32],
) -> None:
    """Bound what two melodies score at each transposition; O(transpositions * pitches).

    A note matches one note, or two of which the second counts as left out; a pitch cannot have more
    pairs than the melody with fewer notes of that pitch has.

    Parameters
    ----------
    whole, stretch : shape (highest - lowest + 1,) at least
        Output: bounds for whole against whole and for the best common stretch.
    """
    n_lick, n_song = lick_counts.sum(), song_counts.sum()
    shorter = min(n_lick, n_song)
    pitches = np.flatnonzero(lick_counts)
    around = song_counts.copy()  # at each pitch and a half-step off
    around[1:] += song_counts[:-1]
    around[:-1] += song_counts[1:]
    for shift in range(lowest, highest + 1):
        same, near = 0, 0
        for pitch in pitches:
            at = pitch + shift
            if 0 <= at < MIDI_NOTES:
                same += min(lick_counts[pitch], song_counts[at])
                near += min(lick_counts[pitch], around[at])
        near -= same
        far = shorter - same - near
        pairs = max(0, most.same - 2 * most.left_out) * same
        pairs += max(0, most.near - 2 * most.left_out) * near
        pairs += max(0, most.far - 2 * most.left_out) * far
        whole[shift - lowest] = pairs + (n_lick + n_song) * most.left_out
        stretch[shift - lowest] = (
            max(0, most.same) * same + max(0, most.near) * near + max(0, most.far) * far
        )


@compiled
def upper_bounds(
    songs: Songs,
    selected: NDArray[np.int64],
    lick_pitches: NDArray[np.int16],
    most: MostOfPairs,
    bounds: NDArray[np.int32],
) -> None:
    """Bound each song's total (see ``whole_alignment``) over all transpositions.

    Parameters
    ----------
    selected : shape (n_selected,)
        Indices of songs with notes.
    bounds : shape (n_selected,)
        Output.
    """
    lick_counts = pitch_counts(lick_pitches)
    whole, stretch = np.empty(2 * MIDI_NOTES, np.int32), np.empty(2 * MIDI_NOTES, np.int32)
    for place in range(len(selected)):
        pitches = songs.pitches[songs.first[selected[place]] : songs.first[selected[place] + 1]]
        lowest, highest = transpositions_between(lick_pitches, pitches)
        counts = pitch_counts(pitches)
        bound_transpositions(lick_counts, counts, lowest, highest, most, whole, stretch)
        bounds[place] = whole[0] + stretch[0]
        for shift in range(1, highest - lowest + 1):
            bounds[place] = max(bounds[place], whole[shift] + stretch[shift])
