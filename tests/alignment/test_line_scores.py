"""A lick against a few notes, transposition by transposition."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.line_scores import WrittenLine, line_scores
from melodex.alignment.settings import DEFAULT_SETTINGS
from tests.reference.weighted_alignment import PlainNote, PlainRules, best_passage_score
from tests.strategies import melodies

ROUNDING = 0.03  # durations to a twenty-fourth of a doubling, scores to thousandths
RULES = PlainRules(
    DEFAULT_SETTINGS.pitch_similarity,
    DEFAULT_SETTINGS.beat_weight,
    DEFAULT_SETTINGS.duration_weight,
    DEFAULT_SETTINGS.split_price,
)


def line_of(melody):
    return WrittenLine(melody.pitches, melody.beat_strengths, melody.durations)


def plain_notes(melody):
    gaps = DEFAULT_SETTINGS.gap_price * (
        1 - DEFAULT_SETTINGS.gap_relief * (1 - melody.beat_strengths)
    )
    return [
        PlainNote(int(pitch), float(strength), float(duration), float(gap))
        for pitch, strength, duration, gap in zip(
            melody.pitches, melody.beat_strengths, melody.durations, gaps, strict=True
        )
    ]


@given(melody=melodies(min_notes=2, max_notes=12), shift=st.integers(-5, 0))
def test_a_line_scores_its_number_of_notes_with_itself_untransposed(melody, shift):
    scores = line_scores(line_of(melody), line_of(melody), range(shift, 6))
    assert scores[-shift] == len(melody) == scores.max()


@given(lick=melodies(min_notes=2, max_notes=8), line=melodies(min_notes=2, max_notes=16))
def test_every_transposition_scores_what_the_slow_twin_says(lick, line):
    shifts = range(-3, 4)
    twins = [
        best_passage_score(plain_notes(lick), plain_notes(line), shift, RULES) for shift in shifts
    ]
    scores = line_scores(line_of(lick), line_of(line), shifts)
    np.testing.assert_allclose(scores, twins, atol=ROUNDING)
