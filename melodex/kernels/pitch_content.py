"""What two melodies can score at most, by their pitches alone, out of their order."""

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
    """The most that notes can add to a score, in the kernels' units."""

    same: int  # a pair at the same pitch
    near: int  # a pair a half-step apart; not above ``same``
    far: int  # any other pair; not above ``near``
    left_out: int  # a note in a gap, or the second of two that match one; 0 at most
    opens: int  # the least that the first note of a gap adds; 0 at most
    extends: int  # the least that each further note adds; 0 at most


def most_of_pairs(scores: PairScores) -> MostOfPairs:
    """Return the most that any two notes score, and any note left out."""
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
    """Bound what two melodies score in their best common stretch by what they score as wholes.

    A stretch with gaps before and after it is an alignment of the wholes. A stretch that scores s
    holds s / ``most.same`` pairs at least, and so twice as many notes, which those gaps leave out.

    Parameters
    ----------
    whole : int
        At some transposition; the bound is of the same one.
    n_notes : int
        Of both melodies.
    """
    if most.same <= 0:
        return 0
    without_gaps = whole - 4 * most.opens - most.extends * n_notes
    return max(0, without_gaps * most.same // (most.same - 2 * most.extends) + 1)


@compiled
def pitch_counts(pitches: NDArray[np.int16]) -> NDArray[np.int32]:
    """Count the notes at each MIDI pitch."""
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

    A note matches one note, or two as one of which the second counts as left out; no pitch has more
    pairs at one height than the melody with fewer such notes has of them.

    Parameters
    ----------
    whole, stretch : shape (highest - lowest + 1,) at least
        Filled: the bounds of whole with whole and of the best common stretch.
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
    """Bound each song's total, see ``whole_alignment``, over all transpositions.

    Parameters
    ----------
    selected : shape (n_selected,)
        Numbers of songs that have notes.
    bounds : shape (n_selected,)
        Filled.
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
