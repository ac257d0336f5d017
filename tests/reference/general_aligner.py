"""Biopython's aligner set to the scoring that the pair alignment has without beats and splits.

Source: Biopython 1.88, PairwiseAligner.
"""

from collections.abc import Mapping

import numpy as np
from Bio.Align import PairwiseAligner, substitution_matrices
from numpy.typing import NDArray

from melodex.kernels.pair_alignment import Ends

MIDI_NOTES = 128


def affine_aligner(
    by_distance: Mapping[int, int], further: int, gaps: tuple[int, int], ends: Ends
) -> PairwiseAligner:
    """Return an aligner of a song (the target) with a lick (the query).

    ``by_distance`` scores pairs by half-steps apart, ``further`` all others; ``gaps`` scores the
    first note of a gap and each further one.
    """
    letters = tuple(range(MIDI_NOTES))
    scores = substitution_matrices.Array(alphabet=letters, dims=2)
    for one in letters:
        for other in letters:
            scores[one, other] = by_distance.get(abs(one - other), further)
    mode = "local" if ends == Ends.BOTH else "global"
    aligner = PairwiseAligner(mode=mode, substitution_matrix=scores)
    aligner.open_gap_score, aligner.extend_gap_score = gaps
    if ends == Ends.SONG:
        aligner.end_deletion_score = 0.0
    return aligner


def best_score(
    aligner: PairwiseAligner, song: NDArray[np.integer], lick: NDArray[np.integer]
) -> float:
    """Return the best score over every transposition at which the two overlap in pitch."""
    song, lick = song.astype(np.int32), lick.astype(np.int32)
    shifts = range(int(song.min() - lick.max()), int(song.max() - lick.min()) + 1)
    return float(max(aligner.score(song, lick + shift) for shift in shifts))
