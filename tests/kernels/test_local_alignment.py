"""The compiled local alignment against its slow twin and a general-purpose aligner."""

from functools import cache

import numpy as np
import pytest
from Bio.Align import PairwiseAligner, substitution_matrices
from hypothesis import given
from hypothesis import strategies as st
from melodex.alignment.pair_weights import Weighing, pair_weights, rhythm_of

from melodex.alignment.settings import AlignmentSettings
from melodex.kernels import local_alignment as kernel
from tests.bundled import bundled_songs
from tests.reference.alignments import best_stretch_worth
from tests.reference.weighted_alignment import PlainNote, PlainRules

GAP = 0.75
RULES = PlainRules({0: 1.0, 1: 0.5, 2: 0.3, 3: 0.1, 12: 0.5}, 0.5, 0.125, 0.2)
PITCHES_ONLY = PlainRules({0: 1.0, 1: 0.6, 2: 0.25}, 0.0, 0.0, split_price=1e6)
notes = st.builds(
    PlainNote,
    st.integers(58, 66),
    st.sampled_from([1.0, 0.5, 0.25, 0.125]),
    st.sampled_from([0.25, 0.5, 1.0, 2.0]),
    st.sampled_from([0.3, 0.5, 1.0]),
)
ROUNDING = 0.02  # durations are rounded to a twenty-fourth of a doubling
lines = st.lists(notes, min_size=1, max_size=14)


def aligned(one, other, shift=0, rules=RULES, *, barred=None, apart=False):
    (pitches, *rhythm, gaps), (other_pitches, *other_rhythm, other_gaps) = (
        tuple(map(np.array, zip(*line, strict=True))) for line in (one, other)
    )
    (single, both), (other_single, other_both) = rhythm_of(*rhythm), rhythm_of(*other_rhythm)
    weighing = Weighing(rules.beat_weight, rules.duration_weight)
    return kernel.align_stretches(
        kernel.Notes(pitches.astype(np.int32), gaps.astype(np.float32)),
        kernel.Notes(other_pitches.astype(np.int32), other_gaps.astype(np.float32)),
        shift,
        kernel.Rules(
            AlignmentSettings(pitch_similarity=rules.similarity).similarity_table(),
            np.float32(rules.split_price),
            pair_weights(other_single, single, weighing),
            pair_weights(other_both, single, weighing),
            pair_weights(other_single, both, weighing),
        ),
        np.zeros((len(one), len(other)), np.bool_) if barred is None else barred,
        apart,
    )


def best_pairs(totals, moves):
    i, j = np.unravel_index(totals.argmax(), totals.shape)
    return kernel.answering_stretch(moves, int(i), int(j))


@given(one=lines, other=lines, shift=st.integers(-6, 6))
def test_the_best_stretch_is_worth_what_the_twin_says(one, other, shift):
    totals, _ = aligned(one, other, shift)
    assert totals.max() == pytest.approx(best_stretch_worth(one, other, shift, RULES), abs=ROUNDING)


@given(one=lines, other=lines)
def test_exchanging_the_melodies_changes_no_worth(one, other):
    assert aligned(one, other, 2)[0].max() == pytest.approx(
        aligned(other, one, -2)[0].max(), abs=1e-4
    )


@given(one=lines, other=lines)
def test_notes_of_a_stretch_rise_and_answered_counts_a_split_once(one, other):
    totals, moves = aligned(one, other)
    pairs, answered = best_pairs(totals, moves)
    steps = np.diff(pairs, axis=0)
    assert ((steps >= 0) & (steps.sum(axis=1) > 0)[:, None]).all()
    assert answered == len(pairs) - int((steps == 0).any(axis=1).sum())


@given(one=lines, other=lines, data=st.data())
def test_barred_pairs_are_in_no_stretch(one, other, data):
    size = len(one) * len(other)
    flags = data.draw(st.lists(st.booleans(), min_size=size, max_size=size))
    barred = np.array(flags).reshape(len(one), len(other))
    pairs, _ = best_pairs(*aligned(one, other, barred=barred))
    assert not barred[pairs[:, 0], pairs[:, 1]].any()


@given(line=st.lists(notes, min_size=1, max_size=24))
def test_a_melody_answers_itself_only_after_the_stretch_has_ended(line):
    pairs, _ = best_pairs(*aligned(line, line, apart=True))
    assert not len(pairs) or pairs[-1, 0] < pairs[0, 1]


@cache
def local_aligner():
    """Source: Biopython 1.88, PairwiseAligner: local, linear gaps."""
    letters = tuple(range(128))
    scores = substitution_matrices.Array(alphabet=letters, dims=2)
    for one in letters:
        for other in letters:
            scores[one, other] = 2 * PITCHES_ONLY.similarity.get(abs(one - other), 0.0) - 1
    aligner = PairwiseAligner(mode="local", substitution_matrix=scores)
    aligner.gap_score = -GAP
    return aligner


def test_without_beat_and_duration_thousands_of_real_pairs_are_worth_what_a_general_aligner_says():
    rng = np.random.default_rng(1782)
    tunes = [song.melody.pitches.astype(np.int32) for song in bundled_songs("airdsAirs")[::10]]
    compared = 0
    for one in tunes:
        plain = [PlainNote(int(pitch), 1.0, 1.0, GAP) for pitch in one]
        for number in rng.permutation(len(tunes))[:20]:
            other = [PlainNote(int(pitch), 1.0, 1.0, GAP) for pitch in tunes[number]]
            shift = int(rng.integers(-7, 8))
            totals, _ = aligned(plain, other, shift, PITCHES_ONLY)
            expected = local_aligner().score(tunes[number], one + np.int32(shift))
            assert totals.max() == pytest.approx(expected, abs=1e-3)
            compared += 1
    assert compared >= 2000
