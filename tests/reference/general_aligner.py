"""Biopython's aligner set to the scoring that melodex has without beats and durations.

Source: Biopython 1.88, PairwiseAligner.
"""

from collections.abc import Mapping

import numpy as np
from Bio.Align import PairwiseAligner, substitution_matrices
from numpy.typing import NDArray

MIDI_NOTES = 128


def semi_global_aligner(similarity: Mapping[int, float], gap: float) -> PairwiseAligner:
    """Align the whole query anywhere in the target, whose ends are free."""
    letters = tuple(range(MIDI_NOTES))
    scores = substitution_matrices.Array(alphabet=letters, dims=2)
    for one in letters:
        for other in letters:
            scores[one, other] = 2 * similarity.get(abs(one - other), 0.0) - 1
    aligner = PairwiseAligner(mode="global", substitution_matrix=scores)
    aligner.gap_score = -gap
    aligner.end_deletion_score = 0.0
    return aligner


def best_score(aligner: PairwiseAligner, song: NDArray[np.int16], lick: NDArray[np.int16]) -> float:
    """Give the best score over every transposition at which the two overlap in pitch."""
    song, lick = song.astype(np.int32), lick.astype(np.int32)
    shifts = range(int(song.min() - lick.max()), int(song.max() - lick.min()) + 1)
    return float(max(aligner.score(song, lick + shift) for shift in shifts))
