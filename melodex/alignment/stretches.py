"""The stretches of two melodies, or of one with itself, that answer each other, best first."""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.pair_weights import pair_weights, rhythm_of
from melodex.alignment.questions import written_gaps, written_weighing
from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.kernels import local_alignment as kernel
from melodex.kernels.local_alignment import Notes, Rules
from melodex.model.melody import Melody


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A stretch of one melody and the stretch of the other that answers it."""

    transposition: int  # half-steps from one up to the other
    worth: float  # the same notes in the same rhythm are worth their number
    score: float  # the worth as a share of the longer place's with itself
    answered: int  # notes; one for two counts once
    pairs: NDArray[np.int32]  # shape (n_pairs, 2): note of one, note of the other, in order

    @property
    def places(self) -> tuple[range, range]:
        """The notes from the first pair to the last, of either melody."""
        first, last = self.pairs[0].tolist(), self.pairs[-1].tolist()
        return range(first[0], last[0] + 1), range(first[1], last[1] + 1)


def answering_stretches(
    one: Melody,
    other: Melody,
    *,
    least_worth: float,
    settings: AlignmentSettings = DEFAULT_SETTINGS,
) -> Iterator[Stretch]:
    """Yield the stretches that answer each other, at every transposition, best first.

    No pair of notes lies within both places of a stretch before it. The same ``Melody`` twice is
    compared with itself: then a stretch ends before its answer begins. Of equal ones the lowest
    transposition comes first.

    Parameters
    ----------
    one, other : Melody
        One note or more each.
    least_worth : float
        Above 0; lesser stretches are left out.

    Source
    ------
    Waterman & Eggert, "A new algorithm for best subsequence alignments", J. Mol. Biol. 197 (1987)
    723-728: the next best alignment that shares nothing with those before (from memory).
    """
    notes = [
        Notes(
            melody.pitches.astype(np.int32),
            written_gaps(melody.beat_strengths, settings).astype(np.float32),
        )
        for melody in (one, other)
    ]
    rules = _rules(one, other, settings)
    barred = np.zeros((len(one), len(other)), np.bool_)

    def best_at(shift: int) -> tuple[float, int, Stretch]:
        stretch = _best_stretch(notes[0], notes[1], shift, rules, barred, apart=one is other)
        return -stretch.worth, shift, stretch

    lowest = int(other.pitches.min()) - int(one.pitches.max())
    highest = int(other.pitches.max()) - int(one.pitches.min())
    worths = kernel.best_worths(notes[0], notes[1], lowest, highest, rules, one is other)
    waiting: list[tuple[float, int, Stretch | None]] = [
        (-worth, shift, None) for shift, worth in enumerate(worths.tolist(), start=lowest)
    ]
    heapq.heapify(waiting)
    while -waiting[0][0] >= least_worth:
        _, shift, stretch = waiting[0]
        # What is not traced yet, or was before others barred a part of it, must be looked for.
        if stretch and not barred[stretch.pairs[:, 0], stretch.pairs[:, 1]].any():
            yield stretch
            of_one, of_other = stretch.places
            barred[of_one.start : of_one.stop, of_other.start : of_other.stop] = True
        heapq.heapreplace(waiting, best_at(shift))


def _rules(one: Melody, other: Melody, settings: AlignmentSettings) -> Rules:
    """Weigh every pair of their notes, and of one's with two of the other's."""
    single, both = rhythm_of(one.beat_strengths, one.durations)
    other_single, other_both = rhythm_of(other.beat_strengths, other.durations)
    weighing = written_weighing(settings)
    return Rules(
        similarity=settings.similarity_table(),
        split_price=np.float32(settings.split_price),
        weights=pair_weights(other_single, single, weighing),
        split_weights=pair_weights(other_both, single, weighing),
        joined_weights=pair_weights(other_single, both, weighing),
    )


def _best_stretch(
    one: Notes,
    other: Notes,
    shift: int,
    rules: Rules,
    barred: NDArray[np.bool_],
    *,
    apart: bool,
) -> Stretch:
    totals, moves = kernel.align_stretches(one, other, shift, rules, barred, apart)
    i, j = np.unravel_index(totals.argmax(), totals.shape)
    pairs, answered = kernel.answering_stretch(moves, int(i), int(j))
    longer = int(np.ptp(pairs, axis=0).max()) + 1 if len(pairs) else 1
    return Stretch(shift, float(totals[i, j]), float(totals[i, j]) / longer, answered, pairs)
