"""How well a lick answers a few notes, transposition by transposition."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Pitches, Strengths
from melodex.alignment.kernel_notes import (
    Line,
    Variant,
    asked_lick,
    pitch_rules,
    read_only,
    thousandths,
)
from melodex.alignment.pair_weights import Rhythm
from melodex.alignment.questions import written_gaps, written_weighing
from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.features.note_kinds import note_kinds
from melodex.kernels import weighted_alignment as kernel
from melodex.kernels.passage_traceback import scores_by_transposition


class WrittenLine(NamedTuple):
    """Notes as written, one or more; arrays of equal length."""

    pitches: Pitches
    strengths: Strengths  # of the beat
    durations: Beats


def line_scores(
    lick: WrittenLine,
    line: WrittenLine,
    shifts: range,
    settings: AlignmentSettings = DEFAULT_SETTINGS,
) -> NDArray[np.float64]:
    """Score the whole lick, as written, anywhere in a line of notes.

    Parameters
    ----------
    shifts : range
        Half-steps from the lick up to the line, one or more, in steps of 1.

    Returns
    -------
    shape (len(shifts),)
        Unclipped; the lick with itself has its number of notes.
    """
    kinds = note_kinds(line.strengths, line.durations, np.zeros(len(line.pitches), np.bool_))
    song = kernel.Songs(
        first=read_only(np.array([0, len(line.pitches)], np.int64)),
        pitches=read_only(line.pitches),
        kinds=read_only(kinds.kinds),
        joined_kinds=read_only(kinds.joined_kinds),
        gaps=thousandths(written_gaps(kinds.strengths, settings)).astype(np.int16),
    )
    variants = [Variant(written_weighing(settings))]
    rhythm = Rhythm(kinds.strengths, kinds.log_durations)
    own = Line(*lick, written_gaps(lick.strengths, settings))
    asked = asked_lick(own, rhythm, variants, settings.split_price)
    scores = scores_by_transposition(
        song, 0, asked, 0, pitch_rules(settings), shifts[0], shifts[-1]
    )
    return scores / kernel.UNIT
