"""The share of values that reach as high as a given one: measured, then carried on beyond."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

# As many of the measured values lie beyond the last that is read off; from there on their logarithm
# falls in a straight line, at the rate that is likeliest for them.
FEWEST_BEYOND = 50
TENTHS = tuple(1 - tenth / 10 for tenth in range(10))  # shares that are read off
KNOTS = 12  # read off beyond the last tenth, at shares in equal ratios


@dataclass(frozen=True, slots=True)
class Tail:
    """How the logarithm of the share falls as the value rises.

    Between values that were read off it falls in straight lines, beyond the last one at ``rate``.
    """

    values: tuple[float, ...]  # in ascending order
    log_shares: tuple[float, ...]  # natural logarithms of the shares that reach them
    rate: float  # lambda in Karlin and Altschul

    def log_share(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the natural logarithm of the share that reaches each value; shape as given."""
        beyond = np.maximum(values - self.values[-1], 0)
        read_off: NDArray[np.float64] = np.interp(values, self.values, self.log_shares)
        return read_off - self.rate * beyond


def fit_tail(
    values: NDArray[np.float64],
    highest: Sequence[NDArray[np.float64]] = (),
    n_high: int = 0,
) -> Tail:
    """Fit the tail of measured values.

    Parameters
    ----------
    values : shape (n,)
        Some hundreds at least, not all equal above the last tenth.
    highest : sequence of arrays
        Of larger sets of such values, of each the highest in any order; they say what is rare.
    n_high : int
        How many values those sets have together.
    """
    if not highest:
        highest, n_high = [values], len(values)
    # Above the greatest of the sets' least listed values nothing is missing.
    complete = max(float(listed.min()) for listed in highest)
    high = np.sort(np.concatenate(highest))[::-1]
    high = high[high >= complete]
    shares = np.geomspace(TENTHS[-1], FEWEST_BEYOND / n_high, KNOTS + 1)[1:]
    counts = np.rint(shares * n_high).astype(np.intp)
    of_sample = np.quantile(values, 1 - np.concatenate([TENTHS, shares]))
    of_high = high[np.minimum(counts, len(high)) - 1]
    rare = np.where(counts <= len(high), of_high, of_sample[len(TENTHS) :])
    read_off = np.concatenate([of_sample[: len(TENTHS)], rare])
    ends: NDArray[np.float64] = np.maximum.accumulate(read_off)
    excess = float(high[: counts[-1]].mean()) - float(ends[-1])
    # An exponential's likeliest rate is the inverse of the mean.
    return Tail(
        tuple(ends.tolist()),
        tuple(np.log([*TENTHS, *shares]).tolist()),
        1 / max(excess, np.finfo(float).eps),
    )
