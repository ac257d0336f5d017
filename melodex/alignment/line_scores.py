"""Scores of a lick in a line of a few notes, by transposition."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths
from melodex.alignment.forms import AS_WRITTEN
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import Kinds, LickNotes, pair_scores
from melodex.features.note_kinds import note_kinds
from melodex.features.scale_classes import unknown_scale
from melodex.kernels.pair_alignment import UNIT, Ends, Songs
from melodex.kernels.transposition_scores import scores_by_transposition


class WrittenLine(NamedTuple):
    """Notes as written, one or more; arrays of equal length."""

    pitches: Pitches
    strengths: Strengths  # of the beat
    durations: Beats


def line_scores(lick: WrittenLine, line: WrittenLine, shifts: range) -> NDArray[np.float64]:
    """Score the whole lick, as written, anywhere in a line of notes.

    Parameters
    ----------
    shifts : range
        Half-steps from the lick up to the line, one or more, in steps of 1.

    Returns
    -------
    shape (len(shifts),)
        Shares of the lick's score with itself, unclipped.
    """
    tables = learned_tables()
    n_lick, n_line = len(lick.pitches), len(line.pitches)
    fills = np.zeros(n_line, np.bool_)
    kinds = note_kinds(line.strengths, line.durations, fills, unknown_scale(n_line))
    song = Songs(
        first=np.array([0, n_line], np.int64),
        pitches=line.pitches.astype(np.int16),
        kinds=kinds.kinds,
        joined_kinds=kinds.joined_kinds,
    )
    scores = pair_scores(
        LickNotes(*lick, carries_melody=np.zeros(n_lick, np.bool_), scale=unknown_scale(n_lick)),
        Kinds(kinds.strengths, kinds.log_durations, kinds.carries_melody, kinds.scale),
        AS_WRITTEN,
        tables,
    )
    found = scores_by_transposition(song, 0, scores, Ends.SONG, shifts[0], shifts[-1])
    shares: NDArray[np.float64] = found / (UNIT * tables.of_notes(lick.strengths).sum())
    return shares
