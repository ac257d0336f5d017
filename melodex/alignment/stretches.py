"""The stretches that two melodies, or two places of one, have in common, best first."""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import Form, forms_between
from melodex.alignment.learned_tables import LearnedTables, learned_tables
from melodex.alignment.pair_scores import Kinds, LickNotes, filler_penalty_left, pair_scores
from melodex.features.note_kinds import note_kinds
from melodex.features.scale_classes import unknown_scale
from melodex.features.skeleton import carries_melody, line_pitches, texture_of
from melodex.kernels import alignment_paths as paths
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import UNIT, Ends, Songs
from melodex.kernels.transposition_scores import scores_by_transposition
from melodex.model.melody import Melody


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A stretch of one melody and the stretch of the other that matches it."""

    form: str  # of the other melody, as in forms.py; "doubled": its note values are twice as long
    transposition: int  # half-steps from one up to the other
    log_odds: float  # nats: alignment and prior of the form
    score: float  # log_odds as a share of the longer place's score with itself, 0 to 1
    matched: int  # notes; one matched with two counts once
    pairs: NDArray[np.int32]  # shape (n_pairs, 2): note of one, note of the other, in order
    # Shape (n_pairs,), nats from the first pair up to each; unlike ``log_odds`` with the full
    # penalty where a note of a roll may be filler.
    totals: NDArray[np.float64]
    gains: NDArray[np.float64]  # shape (n_pairs,), what each pair adds, without a gap before it

    @property
    def places(self) -> tuple[range, range]:
        """The notes from the first pair to the last, of either melody."""
        first, last = self.pairs[0].tolist(), self.pairs[-1].tolist()
        return range(first[0], last[0] + 1), range(first[1], last[1] + 1)


class _Comparison(NamedTuple):
    """Two melodies in one form."""

    form: Form
    notes: Songs  # the other melody's
    scores: PairScores
    # The score of each note of either melody with itself; inside a roll, 0 for filler.
    of_notes: tuple[NDArray[np.float64], NDArray[np.float64]]
    # The rest of the penalty of each note of either melody, in a roll, for being no filler.
    unpaid: tuple[NDArray[np.float64], NDArray[np.float64]]

    @property
    def prior(self) -> int:
        """The form's prior in songs in rolls, in the kernels' units."""
        return round(UNIT * self.form.prior_of_rolls)


def matching_stretches(one: Melody, other: Melody, *, least_score: float) -> Iterator[Stretch]:
    """Yield the stretches in common, in every form and at every transposition, best first.

    No pair of notes lies within both places of an earlier stretch. If both are the same ``Melody``,
    a stretch ends before its counterpart begins. Ties are broken by the order of the forms, then by
    the lowest transposition.

    Parameters
    ----------
    one, other : Melody
        One note or more each.
    least_score : float
        In nats, above 0.

    Source
    ------
    Waterman & Eggert, "A new algorithm for best subsequence alignments", J. Mol. Biol. 197 (1987)
    723-728: the next best alignment that shares nothing with those before (from memory).
    """
    compared = _compare(one, other, learned_tables())
    barred = np.zeros((len(one), len(other)), np.bool_)
    waiting = _upper_bounds(compared, UNIT * least_score)
    heapq.heapify(waiting)
    while waiting and -waiting[0][0] >= UNIT * least_score:
        _, number, shift, stretch = waiting[0]
        # A stretch not traced yet, or partly barred since then, has to be traced.
        if stretch and not barred[stretch.pairs[:, 0], stretch.pairs[:, 1]].any():
            yield stretch
            of_one, of_other = stretch.places
            barred[of_one.start : of_one.stop, of_other.start : of_other.stop] = True
        best = _best_stretch(compared[number], shift, barred, apart=one is other)
        if best is None:
            heapq.heappop(waiting)
        else:
            heapq.heapreplace(waiting, (-round(UNIT * best.log_odds), number, shift, best))


def _compare(one: Melody, other: Melody, tables: LearnedTables) -> list[_Comparison]:
    """Compare two melodies in each form that applies."""
    carries, other_carries = (
        carries_melody(melody.beat_strengths, melody.strings) for melody in (one, other)
    )
    scale, other_scale = unknown_scale(len(one)), unknown_scale(len(other))
    sorted_kinds = note_kinds(other.beat_strengths, other.durations, other_carries, other_scale)
    kinds = Kinds(
        sorted_kinds.strengths,
        sorted_kinds.log_durations,
        sorted_kinds.carries_melody,
        sorted_kinds.scale,
    )
    line = LickNotes(one.pitches, one.beat_strengths, one.durations, carries, scale)
    other_line = LickNotes(
        other.pitches, other.beat_strengths, other.durations, other_carries, other_scale
    )
    notes = Songs(
        first=np.array([0, len(other)], np.int64),
        pitches=other.pitches.astype(np.int16),
        kinds=sorted_kinds.kinds,
        joined_kinds=sorted_kinds.joined_kinds,
    )
    own, others = (tables.of_notes(melody.beat_strengths) for melody in (one, other))
    unpaid, unpaid_by_other = (filler_penalty_left(each, tables) for each in (line, other_line))
    in_roll = line._replace(pitches=line_pitches(one))
    notes_in_roll = notes._replace(pitches=line_pitches(other).astype(np.int16))
    return [
        _Comparison(
            form,
            notes_in_roll if form.song_in_rolls else notes,
            pair_scores(in_roll if form.lick_in_rolls else line, kinds, form, tables),
            (
                own * (carries | (not form.lick_in_rolls)),
                others * (other_carries | (not form.song_in_rolls)),
            ),
            (unpaid * form.lick_in_rolls, unpaid_by_other * form.song_in_rolls),
        )
        for form in forms_between(texture_of(one, one.onsets), texture_of(other, other.onsets))
    ]


def _upper_bounds(
    compared: list[_Comparison], least: float
) -> list[tuple[int, int, int, Stretch | None]]:
    """Return upper bounds, negated, by form and transposition, that reach a least score."""
    bounds: list[tuple[int, int, int, Stretch | None]] = []
    for number, comparison in enumerate(compared):
        lick_pitches, pitches = comparison.scores.lick_pitches, comparison.notes.pitches
        lowest = int(pitches.min()) - int(lick_pitches.max())
        highest = int(pitches.max()) - int(lick_pitches.min())
        found = comparison.prior + scores_by_transposition(
            comparison.notes, 0, comparison.scores, Ends.BOTH, lowest, highest
        )
        bounds += [
            (-int(found[place]), number, lowest + place, None)
            for place in np.flatnonzero(found >= least).tolist()
        ]
    return bounds


def _best_stretch(
    compared: _Comparison,
    shift: int,
    barred: NDArray[np.bool_],
    *,
    apart: bool,
) -> Stretch | None:
    """Trace the best stretch in one form at one transposition; None if nothing matches."""
    totals, moves = paths.align(compared.notes, 0, compared.scores, Ends.BOTH, shift, barred, apart)
    i, j = np.unravel_index(totals.argmax(), totals.shape)
    if totals[i, j] <= 0:
        return None
    path = paths.steps_of_path(moves, int(i), int(j))
    pairs = paths.matched_notes(path)
    log_odds = (int(totals[i, j]) + compared.prior) / UNIT
    of_itself = max(
        float(of_notes[first : last + 1].sum())
        for of_notes, first, last in zip(compared.of_notes, pairs[0], pairs[-1], strict=True)
    )
    steps = paths.STEPS[path[:, 0]]
    matches = (steps > 0).all(axis=1)
    begins, notes = path[matches, 1:], steps[matches].max(axis=1)
    begun = totals[begins[:, 0], begins[:, 1]] / UNIT
    i, j = (begins + steps[matches]).T
    reached = totals[i, j] / UNIT
    unpaid = compared.unpaid[0][pairs[:, 0]] + compared.unpaid[1][pairs[:, 1]]
    return Stretch(
        form=compared.form.name,
        transposition=shift,
        log_odds=log_odds,
        score=max(0.0, log_odds / of_itself),
        matched=int(matches.sum()),
        pairs=pairs,
        totals=np.repeat(reached, notes) + np.cumsum(unpaid),
        gains=np.repeat((reached - begun) / notes, notes) + unpaid,
    )
