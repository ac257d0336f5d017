"""Chance levels of ungapped local alignment, from theory."""

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq


def decay_rate(scores: NDArray[np.float64], letters: NDArray[np.float64]) -> float:
    """Solve sum of p_i * p_j * e^(lambda * s_ij) = 1 for lambda above 0."""
    chances = np.outer(letters, letters)
    return float(brentq(lambda rate: (chances * np.exp(rate * scores)).sum() - 1, 0.01, 50))


def expected_matches(size: float, rate: float, factor: float, score: float) -> float:
    """Return E = K m n e^(-lambda S); ``size`` is m n."""
    return factor * size * float(np.exp(-rate * score))


def best_local_scores(
    scores: NDArray[np.float64], queries: NDArray[np.int64], songs: NDArray[np.int64]
) -> NDArray[np.float32]:
    """Score pairs of sequences, shapes (n_pairs, m) and (n_pairs, n), by their best stretch."""
    running = np.zeros((len(songs), songs.shape[1] + 1), np.float32)
    scores = scores.astype(np.float32)
    best = np.zeros(len(songs), np.float32)
    for letters in queries.T:
        pairs = scores[letters[:, np.newaxis], songs]
        running[:, 1:] = np.maximum(running[:, :-1] + pairs, 0)
        best = np.maximum(best, running.max(axis=1))
    return best


def excursions(steps: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the height of every climb of a walk that restarts whenever it falls below 0."""
    heights, place, highest = [], 0.0, 0.0
    for step in steps.tolist():
        place += step
        highest = max(highest, place)
        if place < 0:
            heights.append(highest)
            place = highest = 0.0
    return np.array(heights)
