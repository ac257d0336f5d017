"""The compiled whole-song alignment against its slow twin and a general-purpose aligner."""

import numpy as np
import pytest
from Bio.Align import PairwiseAligner, substitution_matrices
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.kernels import whole_song as kernel
from tests.bundled import bundled_songs
from tests.reference.alignments import whole_song_total
from tests.reference.weighted_alignment import PlainNote, PlainRules

SIMILARITY = {0: 1.0, 1: 0.6, 2: 0.4, 3: 0.1, 12: 0.5}
GAPS = 0.8, 0.2
notes = st.tuples(st.integers(52, 72), st.sampled_from([1.0, 0.5, 0.25, 0.125]))
songs = st.lists(notes, min_size=1, max_size=12)
EVERYTHING = np.float32(-np.inf)


def line_of(song):
    pitches, strengths = zip(*song, strict=True)
    return kernel.Line(np.array(pitches, np.int32), np.array(strengths, np.float32))


def rules_of(similarity, beat_weight, gaps):
    table = np.zeros(2 * kernel.REACH + 1, np.float32)
    for distance, worth in similarity.items():
        table[kernel.REACH + distance] = table[kernel.REACH - distance] = worth
    return kernel.WholeRules(table, np.float32(beat_weight), *map(np.float32, gaps))


RULES = rules_of(SIMILARITY, 1.0, GAPS)


def scanned(own, book, rules=RULES, floor=EVERYTHING):
    scores, shifts = np.empty(len(book), np.float32), np.empty(len(book), np.int32)
    kernel.scan_songs(
        line_of([note for song in book for note in song]),
        np.cumsum([0, *map(len, book)], dtype=np.int64),
        np.arange(len(book)),
        line_of(own),
        rules,
        np.float32(floor),
        scores,
        shifts,
    )
    return scores, shifts


def every_shift(own, song):
    wanted, found = [pitch for pitch, _ in own], [pitch for pitch, _ in song]
    return range(min(found) - max(wanted), max(found) - min(wanted) + 1)


@given(own=songs, book=st.lists(songs, min_size=1, max_size=3))
def test_the_score_is_the_twins_best_over_every_transposition(own, book):
    plain = PlainRules(SIMILARITY, beat_weight=1.0, duration_weight=0.0, split_price=0.0)
    scores, shifts = scanned(own, book)
    for song, score, shift in zip(book, scores, shifts, strict=True):
        mine, theirs = (
            [PlainNote(pitch, strength, 1.0, 0.0) for pitch, strength in side]
            for side in (own, song)
        )
        twins = {
            each: whole_song_total(mine, theirs, each, plain, GAPS) / min(len(own), len(song))
            for each in every_shift(own, song)
        }
        assert score == pytest.approx(max(twins.values()), abs=1e-4)
        assert twins[int(shift)] == pytest.approx(score, abs=1e-4)


@settings(max_examples=300)
@given(own=songs, book=st.lists(songs, min_size=1, max_size=5))
def test_no_song_scores_more_than_its_pitches_allow(own, book):
    bounds = np.empty(len(book), np.float32)
    kernel.upper_bounds(
        line_of([note for song in book for note in song]),
        np.cumsum([0, *map(len, book)], dtype=np.int64),
        np.arange(len(book)),
        line_of(own),
        RULES,
        bounds,
    )
    assert (scanned(own, book)[0] <= bounds).all()


@settings(max_examples=300)
@given(own=songs, book=st.lists(songs, min_size=1, max_size=5), floor=st.floats(-1, 1, width=32))
def test_a_score_of_at_least_the_floor_is_found_whatever_is_left_out(own, book, floor):
    exact, exact_shifts = scanned(own, book)
    scores, shifts = scanned(own, book, floor=floor)
    reaching = exact >= floor
    np.testing.assert_array_equal(scores[reaching], exact[reaching])
    np.testing.assert_array_equal(shifts[reaching], exact_shifts[reaching])
    assert (scores[~reaching] < floor).all()


def affine_aligner(similarity, gaps):
    """Source: Biopython 1.88, PairwiseAligner: global, affine gaps."""
    letters = tuple(range(128))
    scores = substitution_matrices.Array(alphabet=letters, dims=2)
    for one in letters:
        for other in letters:
            scores[one, other] = 2 * similarity.get(abs(one - other), 0.0) - 1
    aligner = PairwiseAligner(mode="global", substitution_matrix=scores)
    aligner.open_gap_score, aligner.extend_gap_score = -gaps[0], -gaps[1]
    return aligner


ALIGNER = affine_aligner(SIMILARITY, GAPS)


def test_without_beats_thousands_of_real_pairs_score_what_a_general_purpose_aligner_says():
    rng = np.random.default_rng(1844)
    tunes = [song.melody.pitches.tolist() for song in bundled_songs("airdsAirs")[::20]]
    book = [[(pitch, 1.0) for pitch in tune] for tune in tunes]
    rules = rules_of(SIMILARITY, 0.0, GAPS)
    compared = 0
    for own in book:
        scores, shifts = scanned(own, book, rules)
        for song in rng.permutation(len(book))[:40]:
            moved = np.array([pitch for pitch, _ in own], np.int32) + shifts[song]
            found = np.array(tunes[song], np.int32)
            shorter = min(len(own), len(found))
            assert scores[song] == pytest.approx(ALIGNER.score(found, moved) / shorter, abs=1e-4)
            compared += 1
    assert compared >= 2000


@given(own=songs, song=songs)
def test_no_transposition_scores_more_by_a_general_purpose_aligner(own, song):
    score = scanned(own, [song], rules_of(SIMILARITY, 0.0, GAPS))[0][0]
    found = np.array([pitch for pitch, _ in song], np.int32)
    wanted = np.array([pitch for pitch, _ in own], np.int32)
    totals = [ALIGNER.score(found, wanted + shift) for shift in every_shift(own, song)]
    assert score == pytest.approx(max(totals) / min(len(own), len(song)), abs=1e-4)
