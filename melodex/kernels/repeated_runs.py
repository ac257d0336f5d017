"""Find runs that lines share: stretches of equal symbols, each with all its places.

The places of all lines are sorted by the symbols that follow, so that equal runs are adjacent; a
run is a range of that order whose neighbours agree for its length.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.kernels._compile import compiled


class Runs(NamedTuple):
    """Maximal runs; the places of run r are ``order[begins[r] : ends[r]]``."""

    order: NDArray[np.int64]  # shape (n_symbols,), places sorted by the symbols that follow
    begins: NDArray[np.int64]  # shape (n_runs,)
    ends: NDArray[np.int64]
    lengths: NDArray[np.int64]  # in symbols


def repeated_runs(
    symbols: NDArray[np.int32], first: NDArray[np.int64], shortest: int, longest: int
) -> Runs:
    """Return every maximal run with at least two places; O(n log n) time.

    A run is maximal if adding a symbol before or after it would lose one of its places. Places may
    overlap; runs do not cross lines.

    Parameters
    ----------
    symbols : shape (n_symbols,), int32
        Not negative; line after line.
    first : shape (n_lines + 1,)
        The start of each line.
    shortest, longest : int
        Limits on the length of a run, at least 1; a longer one is truncated.

    Source
    ------
    Gusfield, Algorithms on Strings, Trees, and Sequences, 1997, section 7.12: maximal repeats;
    Manber & Myers, "Suffix arrays", SIAM J. Computing 22 (1993) 935-948: sorting by doubled
    prefixes (both from memory).
    """
    left = np.repeat(first[1:], np.diff(first)) - np.arange(len(symbols))
    order = _sorted_places(symbols, left, longest)
    agreed = _agreements(symbols, left, order, longest)
    before = np.where(_begins_line(first, len(symbols)), -1, np.roll(symbols, 1))
    begins, ends, lengths = _maximal(order, agreed, before, shortest)
    return Runs(order, begins, ends, lengths)


def _begins_line(first: NDArray[np.int64], n_symbols: int) -> NDArray[np.bool_]:
    begins = np.zeros(n_symbols + 1, np.bool_)
    begins[first] = True
    return begins[:n_symbols]


def _sorted_places(
    symbols: NDArray[np.int32], left: NDArray[np.int64], longest: int
) -> NDArray[np.int64]:
    """Sort places by the symbols up to the line's end, or by at least ``longest`` of them."""
    n = len(symbols)
    ranks = symbols.astype(np.int64) + 1
    order = np.argsort(ranks, kind="stable")
    known = 1
    while known < longest:
        further = np.zeros(n, np.int64)
        has_further = np.flatnonzero(left > known)
        further[has_further] = ranks[has_further + known]
        pairs = ranks * (n + int(symbols.max(initial=0)) + 2) + further
        order = np.argsort(pairs, kind="stable")
        rises = np.diff(pairs[order], prepend=-1) > 0
        ranks[order] = np.cumsum(rises)
        known *= 2
    return order


@compiled
def _agreements(
    symbols: NDArray[np.int32], left: NDArray[np.int64], order: NDArray[np.int64], longest: int
) -> NDArray[np.int64]:
    """Return how far each place agrees with the previous one in the order; -1 at either end."""
    agreed = np.full(len(order) + 1, -1, np.int64)
    for n in range(1, len(order)):
        one, other = order[n - 1], order[n]
        farthest = min(left[one], left[other], longest)
        length = 0
        while length < farthest and symbols[one + length] == symbols[other + length]:
            length += 1
        agreed[n] = length
    return agreed


@compiled
def _maximal(
    order: NDArray[np.int64],
    agreed: NDArray[np.int64],
    before: NDArray[np.int32],
    shortest: int,
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Traverse the nested ranges of agreement, and keep those with different symbols before."""
    n = len(order)
    changes = np.zeros(n + 1, np.int64)  # cumulative changes of the symbol before, in sorted order
    for place in range(1, n):
        one, other = before[order[place - 1]], before[order[place]]
        changes[place] = changes[place - 1] + (one != other or one < 0)
    found = np.empty((max(n, 1), 3), np.int64)
    open_begins, open_lengths = np.empty(n + 1, np.int64), np.empty(n + 1, np.int64)
    count, depth = 0, 0
    for place in range(1, n + 1):
        begin = place - 1
        while depth and open_lengths[depth - 1] > agreed[place]:
            depth -= 1
            begin = open_begins[depth]
            if changes[place - 1] > changes[begin]:
                found[count, 0], found[count, 1] = begin, place
                found[count, 2] = open_lengths[depth]
                count += 1
        is_open = depth and open_lengths[depth - 1] == agreed[place]
        if agreed[place] >= shortest and not is_open:
            open_begins[depth], open_lengths[depth] = begin, agreed[place]
            depth += 1
    return found[:count, 0].copy(), found[:count, 1].copy(), found[:count, 2].copy()


@compiled
def count_labels(runs: Runs, labels: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the number of distinct labels among the places of each run.

    O(sum of places) time, which is O(n * deepest nesting).

    Parameters
    ----------
    labels : shape (n_symbols,), int64
        One for each place, not negative.
    """
    last_run = np.full(labels.max() + 1 if len(labels) else 0, -1, np.int64)
    counts = np.zeros(len(runs.begins), np.int64)
    for run in range(len(runs.begins)):
        for place in range(runs.begins[run], runs.ends[run]):
            label = labels[runs.order[place]]
            if last_run[label] != run:
                last_run[label] = run
                counts[run] += 1
    return counts
