"""Cut licks out of runs shared by several songs.

A run ends where its songs diverge, often in the middle of a beat. Of all stretches of its places
that begin and end at group boundaries, the one with the highest score is chosen: the information,
note by note, that the songs have in common, plus the log-odds that phrases begin and end there.
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.phrases.grouping import NEVER, Grouping
from melodex.phrases.seeds import FEWEST_STEPS, Seed, Seeds

FARTHEST = 4  # steps beyond either end of a run: half a measure of eighths; 8 find no more licks
FEWEST_CUT_STEPS = FEWEST_STEPS - 1  # with FEWEST_STEPS, the songbook's precision is .80
# Bits for a step in which another place differs. A changed note affects two steps. From -8 to -20
# the songbook's licks are found equally well (recall .96 to .97, precision .84).
DIFFERENT = -10.0
MOST_PLACES = 64  # places of a run to compare, which limits the time for runs shared by hundreds


class Cut(NamedTuple):
    """A stretch of a line that becomes a lick."""

    place: int  # index of its first step
    steps: int
    surprise: float  # bits of those of its steps that are equal at every place of the run
    boundaries: float  # bits: log-odds that groups begin and end where it does


class CutContext(NamedTuple):
    """The places of a run with some context; column c is step ``first + c``.

    Notes have one column more than steps, since a step leads from one note to the next.
    """

    first: NDArray[np.int64]  # shape (n_places,)
    symbols: NDArray[np.int64]  # shape (n_places, n_steps); -1 beyond the line
    bits: NDArray[np.float64]  # shape (n_places, n_steps)
    begins: NDArray[np.float64]  # shape (n_places, n_steps + 1)
    ends: NDArray[np.float64]
    may_begin: NDArray[np.bool_]
    may_end: NDArray[np.bool_]


def best_cut(
    seed: Seed,
    candidates: NDArray[np.int64],
    seeds: Seeds,
    line_of_step: NDArray[np.int64],
    grouping_at: Callable[[int], tuple[Grouping, int]],
) -> Cut | None:
    """Return the best lick in a run, at the place of it that begins and ends most like a group.

    Parameters
    ----------
    candidates : shape (n_candidates,)
        Places of the run that may represent it, ascending.
    seeds : Seeds
        Runs of the same kind.
    line_of_step : shape (n_steps,)
        The line of each step.
    grouping_at : callable
        Returns the grouping of a step's song, and the index of the step's first note in it.

    Returns
    -------
    Cut or None
        None if no stretch of the run and its context begins and ends at group boundaries.
    """
    places = np.union1d(seed.places[:MOST_PLACES], candidates[:MOST_PLACES])
    window = _window(places - FARTHEST, seed.steps + 2 * FARTHEST, seeds, line_of_step, grouping_at)
    best: tuple[float, int, int, int, float] | None = None
    for row in np.flatnonzero(np.isin(places, candidates)).tolist():
        score, begin, end, boundaries = _best_of_place(window, row)
        if np.isfinite(score) and (best is None or score > best[0]):
            best = score, int(places[row]) - FARTHEST, begin, end, boundaries
    if best is None:
        return None
    _, first, begin, end, boundaries = best
    shared = max(begin, FARTHEST), min(end, FARTHEST + seed.steps)
    surprise = seeds.surprise(np.array([first + shared[0]]), np.array([shared[1] - shared[0]]))
    return Cut(first + begin, end - begin, float(surprise[0]), boundaries)


def _window(
    first: NDArray[np.int64],
    n_steps: int,
    seeds: Seeds,
    line_of_step: NDArray[np.int64],
    grouping_at: Callable[[int], tuple[Grouping, int]],
) -> CutContext:
    steps = first[:, np.newaxis] + np.arange(n_steps)
    inside = np.clip(steps, 0, len(line_of_step) - 1)
    lines = line_of_step[first + FARTHEST]
    in_line = (steps == inside) & (line_of_step[inside] == lines[:, np.newaxis])
    shape = len(first), n_steps + 1
    begins, ends = np.full(shape, NEVER), np.full(shape, NEVER)
    may_begin, may_end = np.zeros(shape, np.bool_), np.zeros(shape, np.bool_)
    for row, place in enumerate((first + FARTHEST).tolist()):
        grouping, note = grouping_at(place)
        columns = np.flatnonzero(in_line[row])
        columns = np.append(columns, columns[-1] + 1)
        notes = note - FARTHEST + columns
        begins[row, columns], ends[row, columns] = grouping.begins[notes], grouping.ends[notes]
        may_begin[row, columns] = grouping.may_begin[notes]
        may_end[row, columns] = grouping.may_end[notes]
    symbols = np.where(in_line, seeds.symbols[inside], -1)
    return CutContext(first, symbols, seeds.bits_of(inside), begins, ends, may_begin, may_end)


def _best_of_place(window: CutContext, row: int) -> tuple[float, int, int, float]:
    """Return the best stretch of one place: bits, first and last column, bits of its ends alone.

    The boundaries of the other places count, on average, as much as those of this one.
    """
    others = np.arange(len(window.first)) != row
    equal = window.symbols[others] == window.symbols[row]
    shared = np.where(equal, window.bits[row], DIFFERENT).mean(axis=0)
    so_far = np.concatenate([[0.0], np.cumsum(shared)])
    begins = (window.begins[row] + window.begins[others].mean(axis=0)) / 2
    ends = (window.ends[row] + window.ends[others].mean(axis=0)) / 2
    score = (ends + so_far)[np.newaxis] + (begins - so_far)[:, np.newaxis]
    columns = np.arange(len(so_far))
    allowed = window.may_begin[row][:, np.newaxis] & window.may_end[row][np.newaxis]
    allowed &= columns[np.newaxis] - columns[:, np.newaxis] >= FEWEST_CUT_STEPS
    score = np.where(allowed, score, -np.inf)
    begin, end = np.unravel_index(int(score.argmax()), score.shape)
    return float(score[begin, end]), int(begin), int(end), float(begins[begin] + ends[end])
