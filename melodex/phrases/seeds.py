"""Seeds of licks: runs of steps that several tunes share, and their evidence.

A run may be equal in pitch alone, or in pitch and rhythm; the second kind is stronger evidence.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.contour import WIDEST_STEP
from melodex.kernels.repeated_runs import Runs, count_labels, repeated_runs
from melodex.phrases.lines import LONGEST_STEP, Lines
from melodex.phrases.surprise import StepBits, step_bits

# Seven notes. With six, the precision of the songbook's list of twenty was .69 instead of .87.
FEWEST_STEPS = 6
LONGEST_STEPS = 16  # anything longer is a phrase or a strain (common practice, no source)
MOSTLY = 0.5  # the share of a place that must be new for it to count
LARGEST_INTERVAL = 127  # of MIDI notes
# Half-steps to interval classes: repeated, step, third, fourth, tritone, fifth, sixth, seventh,
# octave. The exact size follows from the scale, so scale runs are not surprising.
_SIZES = np.array([0, 1, 1, 2, 2, 3, 4, 5, 6, 6, 7, 7, 8])
_WIDER = _SIZES[-1] + 1


class Seed(NamedTuple):
    """A run of steps and its places."""

    steps: int
    places: NDArray[np.int64]  # shape (n_places,), the first step of each, ascending

    def mostly_on(self, steps: NDArray[np.bool_]) -> NDArray[np.int64]:
        """Return the places of which more than ``MOSTLY`` consists of certain steps."""
        on = steps[self.places[:, np.newaxis] + np.arange(self.steps)].mean(axis=1)
        chosen: NDArray[np.int64] = self.places[on > MOSTLY]
        return chosen


@dataclass(frozen=True, slots=True, eq=False)
class Seeds:
    """Runs of one kind, with the information carried by each step in bits."""

    runs: Runs
    chance: NDArray[np.float64]  # shape (n_runs,), log2 of the number of places expected by chance
    tunes: NDArray[np.int64]  # shape (n_runs,), number of tunes
    symbols: NDArray[np.int64]  # shape (n_steps,), equal for steps of one kind
    models: tuple[StepBits, ...]  # models of the information in pitch, and in rhythm

    def surprise(
        self, places: NDArray[np.int64], lengths: NDArray[np.int64]
    ) -> NDArray[np.float64]:
        """Return the bits of stretches of steps, each without knowledge of the steps before it.

        Parameters
        ----------
        places, lengths : shape (n_places,)
            The first step of each, and the number of steps, at least 2.
        """
        return sum((model.of_runs(places, lengths) for model in self.models), np.zeros(len(places)))

    def bits_of(self, steps: NDArray[np.int64]) -> NDArray[np.float64]:
        """Return the bits of single steps given those before them; same shape."""
        return sum(
            (model.after_two[steps + 1] - model.after_two[steps] for model in self.models),
            np.zeros(steps.shape),
        )

    def seed(self, run: int) -> Seed:
        """Return one run with its places."""
        places = self.runs.order[self.runs.begins[run] : self.runs.ends[run]]
        return Seed(int(self.runs.lengths[run]), np.sort(places))


def seeds_of(lines: Lines, tunes: NDArray[np.int64]) -> tuple[Seeds, Seeds]:
    """Return the runs that lines share: equal in pitch and rhythm, and equal in pitch.

    Parameters
    ----------
    tunes : shape (n_songs,)
        The tune of each song.
    """
    line = lines.line_of_steps()
    counts = ~lines.is_filler
    pitch_bits = step_bits(interval_sizes(lines.intervals), line, counts, _goes_on(lines))
    rhythm_bits = step_bits(lines.ticks, line, counts, np.zeros(len(line), np.bool_))
    pitch = lines.intervals + LARGEST_INTERVAL
    both = np.unique(pitch * (LONGEST_STEP + 1) + lines.ticks, return_inverse=True)[1]
    tune_of_step = tunes[lines.songs]
    return (
        _seeds(both, lines, tune_of_step, (pitch_bits, rhythm_bits)),
        _seeds(pitch, lines, tune_of_step, (pitch_bits,)),
    )


def _goes_on(lines: Lines) -> NDArray[np.bool_]:
    """Return whether each step repeats a note again or continues a scale."""
    sizes = np.abs(lines.intervals)
    alike = (np.sign(lines.intervals[1:]) == np.sign(lines.intervals[:-1])) & (
        np.maximum(sizes[1:], sizes[:-1]) <= WIDEST_STEP
    )
    return np.concatenate([[False], alike])[: len(sizes)]


def interval_sizes(intervals: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return interval classes as numbers from 0, distinguishing up and down.

    Examples
    --------
    >>> interval_sizes(np.array([-12, -2, -1, 0, 1, 2, 3, 4])).tolist()
    [1, 8, 8, 9, 10, 10, 11, 11]
    """
    sizes = np.where(
        np.abs(intervals) < len(_SIZES), _SIZES[np.abs(intervals) % len(_SIZES)], _WIDER
    )
    named: NDArray[np.int64] = np.sign(intervals) * sizes + _WIDER
    return named


def evidence(tunes: NDArray[np.int64], chance: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the evidence of runs, tunes * log2(tunes / expected), in bits.

    Parameters
    ----------
    tunes : array
        The number of tunes of each, at least 1.
    chance : array of the same shape
        log2 of the number expected by chance.

    Source
    ------
    Dunning, "Accurate methods for the statistics of surprise and coincidence", Computational
    Linguistics 19 (1993) 61-74: the log-likelihood ratio of a count (from memory).
    """
    weights: NDArray[np.float64] = tunes * (np.log2(tunes) - chance)
    return weights


def _seeds(
    symbols: NDArray[np.int64],
    lines: Lines,
    tune_of_step: NDArray[np.int64],
    bits: tuple[StepBits, ...],
) -> Seeds:
    runs = repeated_runs(symbols.astype(np.int32), lines.first_steps, FEWEST_STEPS, LONGEST_STEPS)
    places = runs.order[runs.begins]
    surprise = sum((kind.of_runs(places, runs.lengths) for kind in bits), np.zeros(len(places)))
    chance = np.log2(max(len(symbols), 1)) - surprise
    return Seeds(runs, chance, count_labels(runs, tune_of_step), symbols, bits)
