"""Biopython's aligner set to the scoring that melodex has without beats, durations and splits.

Source: Biopython 1.88, PairwiseAligner.
"""

from collections.abc import Sequence

import numpy as np
from Bio.Align import PairwiseAligner, substitution_matrices
from numpy.typing import NDArray

MIDI_NOTES = 128


def semi_global_aligner(
    by_distance: Sequence[float], gap_open: float, gap_extend: float
) -> PairwiseAligner:
    """Align the whole query anywhere in the target, whose ends are free.

    ``by_distance`` scores pitches by half-steps apart, the last one for more.
    """
    letters = tuple(range(MIDI_NOTES))
    scores = substitution_matrices.Array(alphabet=letters, dims=2)
    for one in letters:
        for other in letters:
            scores[one, other] = by_distance[min(abs(one - other), len(by_distance) - 1)]
    aligner = PairwiseAligner(mode="global", substitution_matrix=scores)
    aligner.open_gap_score, aligner.extend_gap_score = gap_open, gap_extend
    aligner.end_deletion_score = 0.0
    return aligner


def best_score(aligner: PairwiseAligner, song: NDArray[np.int16], lick: NDArray[np.int16]) -> float:
    """Give the best score over every transposition at which the two overlap in pitch."""
    song, lick = song.astype(np.int32), lick.astype(np.int32)
    shifts = range(int(song.min() - lick.max()), int(song.max() - lick.min()) + 1)
    return float(max(aligner.score(song, lick + shift) for shift in shifts))
