"""The compiled weighted alignment against its slow twin and a general-purpose aligner."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from melodex.alignment.pair_weights import Weighing, pair_weights, rhythm_of

from melodex.alignment.settings import AlignmentSettings
from melodex.features.note_kinds import note_kinds
from melodex.kernels import passage_traceback as traceback
from melodex.kernels import weighted_alignment as kernel
from tests.bundled import bundled_songs
from tests.reference.general_aligner import best_score, semi_global_aligner
from tests.reference.weighted_alignment import PlainNote, PlainRules, best_passage_score

SIMILARITY = {0: 1.0, 1: 0.5, 2: 0.3, 3: 0.1, 12: 0.5}
RULES = PlainRules(SIMILARITY, beat_weight=0.5, duration_weight=0.125, split_price=0.2)
LONGEST_IN_16_BITS = 28  # notes whose gap prices are 1
ROUNDING = 0.025  # a duration is rounded to a twenty-fourth of a doubling, 20 pairs to thousandths
strengths = st.sampled_from([1.0, 0.5, 0.25, 0.125])
# As in a song, the price of a gap follows from the strength.
notes = st.builds(
    lambda pitch, strength, duration: PlainNote(pitch, strength, duration, gap_of(strength)),
    st.integers(52, 72),
    strengths,
    st.sampled_from([0.25, 0.5, 1.0, 2.0]),
)
licks = st.lists(notes, min_size=1, max_size=9)
songs = st.lists(notes, min_size=1, max_size=25)


def gap_of(strength):
    return 0.4 + 0.6 * strength


def columns(line):
    pitches, strengths, durations, gaps = zip(*line, strict=True)
    return (
        np.array(pitches, np.int16),
        np.array(strengths),
        np.array(durations, np.float64),
        np.array(gaps),
    )


def thousandths(values, kind):
    return np.rint(1000 * np.asarray(values)).astype(kind)


def kernel_rules(rules):
    table = AlignmentSettings(pitch_similarity=rules.similarity).similarity_table()
    return kernel.Rules(table, round(1000 * rules.split_price))


def kernel_notes(lick, book, rules, counted_in, variants=1):
    """Give songs, and a lick in variants that are all the same."""
    line = [note for song in book for note in song]
    pitches, strengths, durations, gaps = columns(line)
    kinds = note_kinds(strengths, durations, np.zeros(len(line), np.bool_))
    gap_of_kind = np.zeros(len(kinds.strengths))
    gap_of_kind[kinds.kinds] = gaps
    songs = kernel.Songs(
        np.cumsum([0, *map(len, book)], dtype=np.int64),
        pitches,
        kinds.kinds,
        kinds.joined_kinds,
        thousandths(gap_of_kind, np.int16),
    )
    pitches, strengths, durations, gaps = columns(lick)
    weighing = Weighing(rules.beat_weight, rules.duration_weight)
    of_kinds = rhythm_of(
        kinds.strengths.astype(np.float64), np.exp2(kinds.log_durations.astype(np.float64))
    )[0]
    single, joined = (
        np.stack([pair_weights(rhythm, of_kinds, weighing)] * variants, axis=1)
        for rhythm in rhythm_of(strengths, durations)
    )
    of_kinds_alone = np.arange(len(single), dtype=np.uint16)
    asked = kernel.Asked(
        pitches, thousandths(gaps, counted_in), single, joined, alike=of_kinds_alone
    )
    return songs, asked


def scanned(lick, book, rules, counted_in=np.int16, variants=1):
    songs, asked = kernel_notes(lick, book, rules, counted_in, variants)
    scores = np.empty((len(book), variants), np.int32)
    transpositions = np.empty((len(book), variants), np.int32)
    kernel.scan_passages(
        songs, np.arange(len(book)), asked, kernel_rules(rules), scores, transpositions
    )
    return scores / 1000, transpositions


def aligned(lick, song, shift, rules):
    songs, asked = kernel_notes(lick, [song], rules, np.int16)
    totals, moves = traceback.align_passage(songs, 0, asked, 0, kernel_rules(rules), shift)
    return totals / 1000, moves


def every_transposition(lick, song):
    pitches, wanted = [note.pitch for note in song], [note.pitch for note in lick]
    return range(min(pitches) - max(wanted), max(pitches) - min(wanted) + 1)


@given(lick=licks, book=st.lists(songs, min_size=1, max_size=3))
def test_the_best_score_is_that_of_the_twin_over_every_transposition(lick, book):
    scores, transpositions = scanned(lick, book, RULES)
    for song, (score,), (shift,) in zip(book, scores, transpositions, strict=True):
        twins = {
            t: best_passage_score(lick, song, t, RULES) for t in every_transposition(lick, song)
        }
        assert score == pytest.approx(max(twins.values()), abs=ROUNDING)
        assert twins[int(shift)] == pytest.approx(max(twins.values()), abs=ROUNDING)


@given(
    lick=licks, book=st.lists(songs, min_size=1, max_size=3), variants=st.sampled_from([1, 2, 3])
)
def test_a_scan_is_exactly_the_best_of_the_alignments_at_every_transposition(lick, book, variants):
    scores, transpositions = scanned(lick, book, RULES, variants=variants)
    for song, of_variants, shifts in zip(book, scores, transpositions, strict=True):
        alone = [
            aligned(lick, song, t, RULES)[0][-1, 1:].max() for t in every_transposition(lick, song)
        ]
        assert of_variants.tolist() == [max(alone)] * variants
        lowest = every_transposition(lick, song)[int(np.argmax(alone))]
        assert shifts.tolist() == [lowest] * variants


@given(lick=licks, book=st.lists(songs, min_size=1, max_size=3))
def test_counting_in_32_bits_gives_the_same_scores(lick, book):
    in_16 = scanned(lick, book, RULES)
    in_32 = scanned(lick, book, RULES, np.int32)
    np.testing.assert_array_equal(in_16, in_32)


def test_the_longest_lick_in_16_bits_scores_as_in_32():
    lick = [PlainNote(60 + n % 12, 1.0, 1.0, 1.0) for n in range(LONGEST_IN_16_BITS)]
    for song in (lick, lick[::-1], [PlainNote(90, 1.0, 1.0, 1.0)] * 3, lick * 3):
        in_16, in_32 = (scanned(lick, [song], RULES, kind)[0] for kind in (np.int16, np.int32))
        assert in_16 == in_32


def test_a_catalogue_with_more_kinds_of_notes_than_are_kept_scores_as_its_songs_alone():
    rng = np.random.default_rng(1782)
    book = [
        [
            PlainNote(int(pitch), 1.0, 0.03125 * 1.03 ** int(step), 1.0)
            for pitch, step in zip(rng.integers(40, 90, 60), rng.integers(0, 300, 60), strict=True)
        ]
        for _ in range(200)
    ]
    lick = book[7][:6]
    together, _ = scanned(lick, book, RULES)
    alone = [scanned(lick, [song], RULES)[0][0] for song in book]
    np.testing.assert_array_equal(together, alone)


@given(lick=licks, song=songs, shift=st.integers(-12, 12))
def test_one_transposition_alone_scores_what_the_twin_says(lick, song, shift):
    totals, _ = aligned(lick, song, shift, RULES)
    assert totals[-1, 1:].max() == pytest.approx(
        best_passage_score(lick, song, shift, RULES), abs=ROUNDING
    )


@given(lick=licks, song=songs)
def test_the_answering_notes_rise_and_each_lick_note_is_answered_at_most_twice(lick, song):
    totals, moves = aligned(lick, song, 0, RULES)
    pairs = traceback.answering_notes(moves, int(totals[-1, 1:].argmax()))
    assert (np.diff(pairs, axis=0) >= 0).all()
    assert (np.diff(pairs, axis=0).sum(axis=1) > 0).all()
    assert all(0 <= i < len(lick) and 0 <= j < len(song) for i, j in pairs)


NEVER = 3.6  # leaving out three notes costs less
PITCHES_ONLY = PlainRules({0: 1.0, 1: 0.5, 2: 0.25}, 0.0, 0.0, split_price=NEVER)
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
    totals, _ = aligned(pitches_only(lick), pitches_only(song), shift, PITCHES_ONLY)
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
        np.testing.assert_allclose(scores[:, 0], expected, atol=1e-4)
        compared += len(book)
    assert compared > 2000
