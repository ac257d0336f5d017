"""The least cost of a lick in a song, by librosa."""

import librosa
import numpy as np
from numpy.typing import NDArray


def librosa_cost(
    query: NDArray[np.int32], song: NDArray[np.int32], moves: NDArray[np.int64]
) -> float:
    """Warp a query onto any stretch of a song that is at least as long.

    Source
    ------
    librosa 0.11, ``sequence.dtw`` with ``subseq=True``; it would swap the two if the song were
    shorter.
    """
    accumulated = librosa.sequence.dtw(
        query[np.newaxis].astype(float),
        song[np.newaxis].astype(float),
        metric="cityblock",
        subseq=True,
        backtrack=False,
        step_sizes_sigma=moves,
    )
    return float(accumulated[-1].min())
