"""Totals of whole songs against those of each alignment by itself, and their upper bounds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.alignment.forms import FORMS
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import in_16_bits, most_permissive, pair_scores
from melodex.alignment.written_notes import whole_songs
from melodex.index.song_arrays import join_performances, perform
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import Ends, Songs, best_scores, unreached_in
from melodex.kernels.pitch_content import most_of_pairs, most_of_stretch, upper_bounds
from melodex.kernels.transposition_scores import scores_by_transposition
from melodex.kernels.whole_alignment import scan_whole_songs
from tests.strategies import melodies

FAR_BELOW = -(10**9)
books = st.lists(melodies(max_notes=15), min_size=1, max_size=4)
forms = st.sampled_from(FORMS)


def laid_out(book):
    songs = whole_songs(
        join_performances(
            [perform(song, np.array([(0.0, song.onsets[-1] + 100.0)])) for song in book]
        )
    )
    return songs, Songs(songs.first_notes, songs.pitches, songs.note_kinds, songs.joined_kinds)


def scores_in(form, songs):
    return pair_scores(songs.line_of(0), songs.kinds, form, learned_tables(), np.int32)


def totals_of(notes, scores, needed=FAR_BELOW):
    """Compare the first song with all."""
    n_songs = len(notes.first) - 1
    totals, shifts = np.empty(n_songs, np.int32), np.empty(n_songs, np.int32)
    least = np.full(n_songs, needed, np.int32)
    most = most_of_pairs(scores)
    scan_whole_songs(notes, np.arange(n_songs), scores, most, least, totals, shifts)
    return totals, shifts


@settings(deadline=None)
@given(book=books, form=forms)
def test_the_total_lies_between_twice_the_whole_and_the_sum_of_both_bests(book, form):
    songs, notes = laid_out(book)
    scores = scores_in(form, songs)
    best = {}
    for ends in (Ends.NONE, Ends.BOTH):
        best[ends], shifts = np.empty(len(book), np.int32), np.empty(len(book), np.int32)
        no_bonus, no_tonics = np.zeros(12, np.int32), np.full(len(book), -1, np.int8)
        best_scores(
            notes, np.arange(len(book)), scores, ends, no_bonus, no_tonics, best[ends], shifts
        )
    totals, _ = totals_of(notes, scores)
    assert (totals >= 2 * best[Ends.NONE]).all()
    assert (totals <= best[Ends.NONE] + best[Ends.BOTH]).all()


@settings(deadline=None)
@given(book=books, form=forms)
def test_no_song_scores_more_than_its_pitches_allow(book, form):
    songs, notes = laid_out(book)
    scores, bounds = scores_in(form, songs), np.empty(len(book), np.int32)
    upper_bounds(notes, np.arange(len(book)), scores.lick_pitches, most_of_pairs(scores), bounds)
    assert (totals_of(notes, scores)[0] <= bounds).all()


@settings(deadline=None)
@given(book=books)
def test_no_form_scores_more_than_the_most_permissive_of_all(book):
    songs, notes = laid_out(book)
    each = [scores_in(form, songs) for form in FORMS]
    bounds, _ = totals_of(notes, most_permissive(each))
    for scores in each:
        assert (totals_of(notes, scores)[0] <= bounds).all()


@settings(deadline=None)
@given(book=books, form=forms, needed=st.integers(-3000, 3000))
def test_a_total_that_is_needed_is_found_whatever_is_left_out(book, form, needed):
    songs, notes = laid_out(book)
    scores = scores_in(form, songs)
    exact, exact_shifts = totals_of(notes, scores)
    totals, shifts = totals_of(notes, scores, needed)
    reaching = exact >= needed
    np.testing.assert_array_equal(totals[reaching], exact[reaching])
    np.testing.assert_array_equal(shifts[reaching], exact_shifts[reaching])
    assert (totals[~reaching] < needed).all()


@settings(deadline=None)
@given(book=books, form=forms)
def test_sixteen_bits_hold_what_short_songs_score_in_thirty_two(book, form):
    songs, notes = laid_out(book)
    scores = scores_in(form, songs)
    for wide, narrow in zip(
        totals_of(notes, scores), totals_of(notes, in_16_bits(scores)), strict=True
    ):
        assert narrow.tolist() == wide.tolist()


@settings(deadline=None)
@given(book=books, form=forms)
def test_no_stretch_scores_more_than_the_wholes_allow(book, form):
    songs, notes = laid_out(book)
    scores = scores_in(form, songs)
    most = most_of_pairs(scores)
    for number, song in enumerate(book):
        lowest, highest = -12, 12
        whole, stretch = (
            scores_by_transposition(notes, number, scores, int(ends), lowest, highest)
            for ends in (Ends.NONE, Ends.BOTH)
        )
        n_notes = len(scores.lick_pitches) + len(song)
        bounds = [most_of_stretch(int(score), n_notes, most) for score in whole]
        assert (stretch <= bounds).all()


def made_up(lick, song, *, near=-60, far=-60, split=-99):
    """Return scores: 50 for equal pitches; a skipped note costs 10, or 9 if of kind 1."""
    n = len(lick)
    scores = PairScores(
        lick_pitches=np.array(lick, np.int16),
        pitch=np.array([far, near, 50, near, far], np.int32),
        match=np.zeros((2, n), np.int32),
        split=np.full((2, n), split, np.int32),
        joined=np.full((2, n), unreached_in(np.int32), np.int32),
        lick_gaps=np.full((2, n), -30, np.int32),
        song_gaps=np.array([[[-10] * (n + 1), [-9] * (n + 1)]] * 2, np.int32),
    )
    pitches = np.array([pitch for pitch, _ in song], np.int16)
    kinds = np.array([kind for _, kind in song], np.uint16)
    return Songs(np.array([0, len(song)]), pitches, kinds, kinds), scores


def total_of_one_note(needed, *song):
    notes, scores = made_up([60], song)
    totals, shifts = totals_of(notes, scores, needed)
    return int(totals[0]), int(shifts[0])


@pytest.mark.parametrize(
    ("lick", "pitches", "scored", "total"),
    [
        ([60, 60], [60, 60], {}, 2 * 100),
        ([60, 62, 64], [60, 62, 65], {"near": 40}, 2 * 140),
        ([60, 62, 64], [60, 62, 63], {"near": 40}, 2 * 140),
        ([60, 60], [60, 70], {"near": 40, "far": 30}, 2 * 80),
        ([60, 60], [60, 61, 70, 71], {"far": 30}, 80 - 20 + 80),
        ([60], [60, 60], {"split": -5}, 50 - 5 + 50),
    ],
    ids=["equal", "near above", "near below", "far", "far rather than near", "split"],
)
def test_pitches_bound_every_way_in_which_notes_may_match(lick, pitches, scored, total):
    notes, scores = made_up(lick, [(pitch, 0) for pitch in pitches], **scored)
    bounds = np.empty(1, np.int32)
    upper_bounds(notes, np.array([0]), scores.lick_pitches, most_of_pairs(scores), bounds)
    assert totals_of(notes, scores)[0] == [total]
    assert bounds[0] >= total


def test_of_equal_totals_the_lowest_transposition_counts():
    assert total_of_one_note(FAR_BELOW, (60, 0), (65, 0), (70, 0)) == (80, 0)


@pytest.mark.parametrize("needed", [FAR_BELOW, 91])
def test_the_least_better_total_is_found_far_away_and_where_it_is_just_what_is_needed(needed):
    # 50 as a stretch, and 50 less what the other note costs as a whole.
    assert total_of_one_note(needed, (60, 1), (100, 0)) == (91, 40)
    assert total_of_one_note(needed, (60, 0), (100, 1)) == (91, 0)
