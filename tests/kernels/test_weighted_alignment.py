"""The compiled weighted alignment against its slow twin and a general-purpose aligner."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.kernels import weighted_alignment as kernel
from tests.bundled import bundled_songs
from tests.reference.general_aligner import best_score, semi_global_aligner
from tests.reference.weighted_alignment import PlainNote, PlainRules, best_passage_score

SIMILARITY = {0: 1.0, 1: 0.5, 2: 0.3, 3: 0.1, 12: 0.5}
RULES = PlainRules(SIMILARITY, beat_weight=0.5, duration_weight=0.125, split_price=0.2)
notes = st.builds(
    PlainNote,
    st.integers(52, 72),
    st.sampled_from([1.0, 0.5, 0.25, 0.125]),
    st.sampled_from([0.25, 0.5, 0.75, 1.0, 2.0]),
    st.sampled_from([0.0, 0.3, 0.5, 1.0]),
)
licks = st.lists(notes, min_size=1, max_size=9)
songs = st.lists(notes, min_size=1, max_size=25)


def table(similarity):
    values = np.zeros(2 * kernel.REACH + 1, np.float32)
    for distance, worth in similarity.items():
        values[kernel.REACH + distance] = values[kernel.REACH - distance] = worth
    return values


def kernel_rules(rules):
    return kernel.Rules(
        table(rules.similarity),
        np.float32(rules.beat_weight),
        np.float32(rules.duration_weight),
        np.float32(rules.split_price),
    )


def kernel_notes(line):
    pitches, strengths, durations, gaps = zip(*line, strict=True)
    return kernel.Notes(
        np.array(pitches, np.int32),
        np.array(strengths, np.float32),
        np.log2(np.array(durations, np.float32)),
        np.array(gaps, np.float32),
    )


def scanned(lick, book, rules):
    scores = np.empty(len(book), np.float32)
    transpositions = np.empty(len(book), np.int32)
    kernel.scan_passages(
        kernel_notes([note for song in book for note in song]),
        np.cumsum([0, *map(len, book)], dtype=np.int64),
        np.arange(len(book)),
        kernel_notes(lick),
        kernel_rules(rules),
        scores,
        transpositions,
    )
    return scores, transpositions


def every_transposition(lick, song):
    pitches, wanted = [note.pitch for note in song], [note.pitch for note in lick]
    return range(min(pitches) - max(wanted), max(pitches) - min(wanted) + 1)


@given(lick=licks, book=st.lists(songs, min_size=1, max_size=3))
def test_the_best_score_is_that_of_the_twin_over_every_transposition(lick, book):
    scores, transpositions = scanned(lick, book, RULES)
    for song, score, shift in zip(book, scores, transpositions, strict=True):
        twins = {
            t: best_passage_score(lick, song, t, RULES) for t in every_transposition(lick, song)
        }
        assert score == pytest.approx(max(twins.values()), abs=1e-4)
        assert twins[int(shift)] == pytest.approx(max(twins.values()), abs=1e-4)


@given(lick=licks, song=songs, shift=st.integers(-12, 12))
def test_one_transposition_alone_scores_what_the_twin_says(lick, song, shift):
    totals, _ = kernel.align_passage(
        kernel_notes(song), kernel_notes(lick), shift, kernel_rules(RULES)
    )
    assert totals[-1, 1:].max() == pytest.approx(
        best_passage_score(lick, song, shift, RULES), abs=1e-4
    )


@given(lick=licks, song=songs)
def test_the_answering_notes_rise_and_each_lick_note_is_answered_at_most_twice(lick, song):
    totals, moves = kernel.align_passage(
        kernel_notes(song), kernel_notes(lick), 0, kernel_rules(RULES)
    )
    pairs = kernel.answering_notes(moves, int(totals[-1, 1:].argmax()))
    assert (np.diff(pairs, axis=0) >= 0).all()
    assert (np.diff(pairs, axis=0).sum(axis=1) > 0).all()
    assert all(0 <= i < len(lick) and 0 <= j < len(song) for i, j in pairs)


PITCHES_ONLY = PlainRules({0: 1.0, 1: 0.5, 2: 0.25}, 0.0, 0.0, split_price=1e6)
GAP = 0.75
ALIGNER = semi_global_aligner(PITCHES_ONLY.similarity, GAP)


def pitches_only(pitches):
    return [PlainNote(int(pitch), 1.0, 1.0, GAP) for pitch in pitches]


@given(
    lick=st.lists(st.integers(55, 70), min_size=1, max_size=12),
    song=st.lists(st.integers(50, 74), min_size=1, max_size=40),
    shift=st.integers(-12, 12),
)
def test_without_beat_and_duration_it_is_a_plain_gapped_alignment(lick, song, shift):
    line = pitches_only(song)
    wanted = pitches_only(lick)
    totals, _ = kernel.align_passage(
        kernel_notes(line), kernel_notes(wanted), shift, kernel_rules(PITCHES_ONLY)
    )
    target = np.array(song, np.int32)
    query = np.array(lick, np.int32) + shift
    expected = ALIGNER.score(target, query)
    assert totals[-1].max() == pytest.approx(expected, abs=1e-4)


def test_thousands_of_real_pairs_score_at_their_best_transposition_what_a_general_aligner_says():
    # Source: Biopython 1.88, PairwiseAligner, asked at every transposition.
    rng = np.random.default_rng(1782)
    lines = [song.melody.pitches for song in bundled_songs("airdsAirs")[::14]]
    book = [line for line in lines if len(line) >= 20]
    licks = [
        book[n % len(book)][first : first + int(rng.integers(4, 13))]
        for n, first in enumerate(rng.integers(0, 8, 40))
    ]
    compared = 0
    for lick in licks:
        scores, _ = scanned(pitches_only(lick), [pitches_only(line) for line in book], PITCHES_ONLY)
        expected = [best_score(ALIGNER, line, lick) for line in book]
        np.testing.assert_allclose(scores, expected, atol=1e-4)
        compared += len(book)
    assert compared > 2000
