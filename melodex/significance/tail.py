"""The share of values that reach a given one: measured, and extrapolated beyond."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

# Number of measured values beyond the last knot. From there the logarithm falls linearly, at their
# maximum-likelihood rate.
FEWEST_BEYOND = 50
TENTHS = tuple(1 - tenth / 10 for tenth in range(10))  # shares at the first knots
KNOTS = 12  # further knots beyond the last tenth, at shares in a constant ratio


@dataclass(frozen=True, slots=True)
class Tail:
    """The logarithm of the share that reaches a value, as a falling function of the value.

    It is linear between knots, and beyond the last one falls at ``rate``.
    """

    values: tuple[float, ...]  # knots, ascending
    log_shares: tuple[float, ...]  # natural logarithms of the shares that reach them
    rate: float  # lambda in Karlin and Altschul

    def log_share(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the natural logarithm of the share that reaches each value; same shape."""
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
        At least some hundreds, not all equal above the last tenth.
    highest : sequence of arrays
        The highest values of larger sets, in any order; they determine the rare shares.
    n_high : int
        The total size of those sets.
    """
    if not highest:
        highest, n_high = [values], len(values)
    # Above the largest of the sets' minima, no values are missing.
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
    # The maximum-likelihood rate of an exponential is the inverse of the mean.
    return Tail(
        tuple(ends.tolist()),
        tuple(np.log([*TENTHS, *shares]).tolist()),
        1 / max(excess, np.finfo(float).eps),
    )
