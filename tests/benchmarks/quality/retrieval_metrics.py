"""How good a ranking is, and how sure one can be of it from so many queries."""

from collections.abc import Collection, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

TOP = 10
RESAMPLES = 2000
SEED = 20261125


class Quality(NamedTuple):
    """What one ranking is worth, each from 0 to 1."""

    average_precision: float
    top_one: float  # 1 where the best song is a relevant one
    recall_at_10: float  # of the relevant songs, or of ten where there are more


class Interval(NamedTuple):
    """A mean, and the range that holds it in 95 of 100 resamplings."""

    mean: float
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.mean:.3f} {self.low:.2f}-{self.high:.2f}"


def quality(
    scores: NDArray[np.float64], relevant: Collection[int], ignored: Collection[int] = ()
) -> Quality:
    """Judge a ranking by falling score; a fixed shuffling decides between equal scores.

    Parameters
    ----------
    scores : shape (n_songs,), float64
        The higher the better.
    relevant : song numbers
        Those that ought to come first; one at least.
    ignored : song numbers
        Those taken out of the ranking.
    """
    ranks = ranks_of(scores, relevant, ignored)
    found = np.arange(1, len(ranks) + 1)
    return Quality(
        average_precision=float((found / ranks).mean()),
        top_one=float(ranks[0] == 1),
        recall_at_10=float((ranks <= TOP).sum() / min(len(ranks), TOP)),
    )


def ranks_of(
    scores: NDArray[np.float64], relevant: Collection[int], ignored: Collection[int] = ()
) -> NDArray[np.int64]:
    """Find the rising ranks, from 1, of the relevant songs."""
    order = np.lexsort((_shuffling(len(scores)), -scores))
    order = order[~np.isin(order, list(ignored))]
    return np.flatnonzero(np.isin(order, list(relevant))) + 1


def bootstrap(values: NDArray[np.float64], tunes: Sequence[str]) -> Interval:
    """Average values, and resample whole tunes: what comes from one tune is not independent.

    Parameters
    ----------
    values : shape (n,), float64
        One value a query.
    tunes : n names
        The tune that each query was cut from.

    Source
    ------
    Efron & Tibshirani, "An Introduction to the Bootstrap", 1993: percentile intervals (from
    memory).
    """
    sums, counts = _sums_of_tunes(values, tunes)
    draws = _draws(len(sums))
    means = sums[draws].sum(axis=1) / counts[draws].sum(axis=1)
    low, high = np.percentile(means, [2.5, 97.5])
    return Interval(float(values.mean()), float(low), float(high))


def share_removed(
    plain: NDArray[np.float64], better: NDArray[np.float64], tunes: Sequence[str]
) -> Interval:
    """Measure which share of the plain method's lack (1 - mean) the better one removes, paired."""
    plain_sums, counts = _sums_of_tunes(plain, tunes)
    better_sums, _ = _sums_of_tunes(better, tunes)
    draws = _draws(len(counts))
    lacks = counts[draws].sum(axis=1) - plain_sums[draws].sum(axis=1)
    gains = better_sums[draws].sum(axis=1) - plain_sums[draws].sum(axis=1)
    low, high = np.percentile(gains / lacks, [2.5, 97.5])
    return Interval(
        float((better.mean() - plain.mean()) / (1 - plain.mean())), float(low), float(high)
    )


def _sums_of_tunes(
    values: NDArray[np.float64], tunes: Sequence[str]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    _, tune_of = np.unique(np.array(tunes), return_inverse=True)
    sums = np.bincount(tune_of, weights=values).astype(np.float64)
    return sums, np.bincount(tune_of).astype(np.int64)


@cache
def _draws(count: int) -> NDArray[np.int64]:
    return np.random.default_rng(SEED).integers(count, size=(RESAMPLES, count))


@cache
def _shuffling(count: int) -> NDArray[np.int64]:
    return np.random.default_rng(SEED).permutation(count)
