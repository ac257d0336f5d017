"""One alignment, cell by cell, against its slow twin; and the paths traced through it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.kernels import alignment_paths as paths
from melodex.kernels.alignment_paths import JOINED, LICK_GAP, MATCH, NONE_BARRED, SONG_GAP, SPLIT
from melodex.kernels.pair_alignment import Ends
from tests.reference.pair_hmm import Note, Scores, best_score, score_of_steps
from tests.reference.pair_notes import (
    Case,
    cases,
    kernel_scores,
    kernel_songs,
    scan,
    transpositions_of,
)

every_ends = pytest.mark.parametrize("ends", list(Ends))


def align(case, ends, shift, *, song=0, barred=NONE_BARRED, apart=False):
    scores = kernel_scores(case.lick, case.scores)
    return paths.align(kernel_songs(case.book), song, scores, int(ends), shift, barred, apart=apart)


def best_end(totals, ends):
    """Return where the best alignment ends."""
    if ends == Ends.NONE:
        return totals.shape[0] - 1, totals.shape[1] - 1
    if ends == Ends.SONG:
        return totals.shape[0] - 1, int(totals[-1].argmax())
    return tuple(int(place) for place in np.unravel_index(totals.argmax(), totals.shape))


@every_ends
@given(case=cases(), shift=st.integers(-4, 4))
def test_an_alignment_scores_what_the_twin_says(case, ends, shift):
    for song, notes in enumerate(case.book):
        totals, _ = align(case, ends, shift, song=song)
        expected = best_score(case.lick, notes, case.scores, ends, shift)
        assert totals[best_end(totals, ends)] == expected


@every_ends
@given(case=cases(least_notes=1))
@settings(max_examples=50)
def test_the_best_over_all_transpositions_is_what_the_scan_finds(case, ends):
    for song, (score, _) in enumerate(scan(case, ends)):
        by_shift = [
            align(case, ends, shift, song=song)[0]
            for shift in transpositions_of(case.lick, case.book[song])
        ]
        assert max(int(totals[best_end(totals, ends)]) for totals in by_shift) == score


@every_ends
@given(case=cases(least_notes=1), shift=st.integers(-4, 4))
def test_the_steps_of_a_path_add_up_to_its_total(case, ends, shift):
    totals, moves = align(case, ends, shift)
    song = case.book[0]
    for i in range(len(case.lick) + 1):
        for j in range(len(song) + 1):
            path = paths.steps_of_path(moves, i, j).tolist()
            assert score_of_steps(path, case.lick, song, case.scores, shift) == totals[i, j]


@every_ends
@given(case=cases(least_notes=1), shift=st.integers(-4, 4))
def test_a_path_begins_and_ends_where_its_ends_may_lie(case, ends, shift):
    totals, moves = align(case, ends, shift)
    i, j = best_end(totals, ends)
    path = paths.steps_of_path(moves, i, j)
    if ends != Ends.BOTH:
        own = path[np.isin(path[:, 0], (MATCH, SPLIT, LICK_GAP, JOINED))]
        assert own[0, 1] == 0
    if ends == Ends.NONE:
        assert path[0, 1:].tolist() == [0, 0]


@given(case=cases(least_notes=1), shift=st.integers(-4, 4))
def test_matched_notes_are_in_order_and_each_is_matched_at_most_twice(case, shift):
    totals, moves = align(case, Ends.SONG, shift)
    path = paths.steps_of_path(moves, *best_end(totals, Ends.SONG))
    pairs = paths.matched_notes(path)
    steps = np.diff(pairs, axis=0)
    assert (steps >= 0).all()
    assert (steps.sum(axis=1) > 0).all()
    expected = {MATCH: 1, SPLIT: 2, JOINED: 2, LICK_GAP: 0, SONG_GAP: 0}
    assert len(pairs) == sum(expected[move] for move in path[:, 0].tolist())


def test_where_one_note_stands_for_two_both_pairs_are_listed():
    path = np.array([[MATCH, 0, 3], [SPLIT, 1, 4], [LICK_GAP, 2, 6], [JOINED, 3, 6]], np.int32)
    assert paths.matched_notes(path).tolist() == [[0, 3], [1, 4], [1, 5], [3, 6], [4, 6]]
    gaps = np.array([[LICK_GAP, 0, 0], [SONG_GAP, 1, 0]], np.int32)
    assert paths.matched_notes(gaps).shape == (0, 2)


@given(case=cases(least_notes=1), shift=st.integers(-4, 4), data=st.data())
def test_no_common_stretch_passes_through_barred_pairs(case, shift, data):
    lick, song = case.lick, case.book[0]
    every_pair = [(i, j) for i in range(len(lick)) for j in range(len(song))]
    bars = data.draw(st.sets(st.sampled_from(every_pair), min_size=1))
    barred = np.zeros((len(lick), len(song)), np.bool_)
    barred[tuple(zip(*bars, strict=True))] = True
    totals, moves = align(case, Ends.BOTH, shift, barred=barred)
    assert totals.max() == best_score(lick, song, case.scores, Ends.BOTH, shift, bars)
    path = paths.steps_of_path(moves, *best_end(totals, Ends.BOTH))
    assert not bars & {tuple(pair) for pair in paths.matched_notes(path).tolist()}


@pytest.mark.parametrize("barred_pair", [None, (0, 2), (2, 0)])
def test_no_gap_goes_on_beyond_a_barred_pair(barred_pair):
    short, long = [60, 62], [60, 80, 81, 82, 62]
    lick, song = (long, short) if barred_pair == (2, 0) else (short, long)
    scores = _equal_or_not(len(lick))._replace(
        lick_gaps=[[-10] * len(lick), [-5] * len(lick)],
        song_gaps=[[[-10] * (len(lick) + 1)], [[-5] * (len(lick) + 1)]],
    )
    barred = np.zeros((len(lick), len(song)), np.bool_)
    if barred_pair:
        barred[barred_pair] = True
    case = Case(lick, scores, [[Note(pitch, 0, 0) for pitch in song]])
    totals, _ = align(case, Ends.BOTH, 0, barred=barred)
    assert totals.max() == (50 if barred_pair else 50 - 10 - 5 - 5 + 50)


@given(case=cases(least_notes=1), shift=st.integers(-4, 4))
def test_barring_nothing_changes_nothing(case, shift):
    none = np.zeros((len(case.lick), len(case.book[0])), np.bool_)
    for one, other in zip(
        align(case, Ends.BOTH, shift), align(case, Ends.BOTH, shift, barred=none), strict=True
    ):
        np.testing.assert_array_equal(one, other)


def with_itself(case):
    """Return a case in which song and lick are equal, with one kind of note."""
    return case._replace(book=[[Note(pitch, 0, 0) for pitch in case.lick]])


@given(case=cases(), shift=st.integers(-4, 4))
def test_a_melody_set_apart_from_itself_ends_each_stretch_before_its_counterpart(case, shift):
    totals, moves = align(with_itself(case), Ends.BOTH, shift, apart=True)
    for i, j in zip(*np.nonzero(totals), strict=True):
        path = paths.steps_of_path(moves, int(i), int(j))
        first_of_counterpart = path[0, 2]
        assert i <= first_of_counterpart


@given(case=cases(), shift=st.integers(-4, 4))
def test_setting_apart_changes_no_stretch_that_is_apart_already(case, shift):
    case = with_itself(case)
    totals, moves = align(case, Ends.BOTH, shift)
    i, j = best_end(totals, Ends.BOTH)
    path = paths.steps_of_path(moves, i, j)
    if len(path) and i <= path[0, 2]:
        assert align(case, Ends.BOTH, shift, apart=True)[0].max() == totals.max()


def test_a_phrase_that_comes_twice_in_a_melody_is_found_apart_from_itself():
    lick = [60, 64, 67, 65, 60, 64, 67, 65]
    n = len(lick)
    song = [Note(pitch, 0, 0) for pitch in lick]
    case = Case(lick, _equal_or_not(n), [song])
    assert align(case, Ends.BOTH, 0)[0].max() == 8 * 50
    totals, moves = align(case, Ends.BOTH, 0, apart=True)
    assert totals.max() == 4 * 50
    path = paths.steps_of_path(moves, *best_end(totals, Ends.BOTH))
    assert paths.matched_notes(path).tolist() == [[0, 4], [1, 5], [2, 6], [3, 7]]


def _equal_or_not(n):
    row = [[0] * n]
    song_gaps = [[[-60] * (n + 1)]] * 2
    return Scores([-50, 50, -50], row, [[-90] * n], [[-90] * n], [[-60] * n] * 2, song_gaps)


def path_of(lick, song, ends=Ends.NONE, *, two_for_one=-900, near=-900):
    """Trace a path: equal pitches score 50, near ones ``near``, a gap -10 and then -5."""
    n = len(lick)
    scores = Scores(
        pitch=[-900, near, near, 50, near, near, -900],
        match=[[0] * n],
        split=[[two_for_one] * n],
        joined=[[two_for_one] * n],
        lick_gaps=[[-10] * n, [-5] * n],
        song_gaps=[[[-10] * (n + 1)], [[-5] * (n + 1)]],
    )
    totals, moves = align(Case(lick, scores, [[Note(pitch, 0, 0) for pitch in song]]), ends, 0)
    return paths.steps_of_path(moves, *best_end(totals, ends)).tolist()


def test_of_equal_scores_a_match_counts_before_two_notes_for_one():
    assert path_of([60], [60, 60], two_for_one=-10) == [[SONG_GAP, 0, 0], [MATCH, 0, 1]]
    assert path_of([60, 60], [60], two_for_one=-10) == [[LICK_GAP, 0, 0], [MATCH, 1, 0]]


def test_of_equal_scores_a_match_counts_before_a_gap_in_either_melody():
    # If skipped, the last notes cost 10 each.
    assert path_of([60, 62], [60, 61], near=-20) == [[MATCH, 0, 0], [MATCH, 1, 1]]


def test_of_equal_scores_the_licks_gap_counts_before_the_songs():
    assert path_of([60, 66], [60, 72]) == [[MATCH, 0, 0], [SONG_GAP, 1, 1], [LICK_GAP, 1, 2]]


def test_of_equal_scores_a_gap_that_begins_counts_before_one_that_goes_on():
    # A second note that matches badly plus a gap of one costs 25, as do three skipped notes.
    assert path_of([60, 63, 70], [60, 61], near=-15) == [
        [MATCH, 0, 0],
        [MATCH, 1, 1],
        [LICK_GAP, 2, 2],
    ]


def test_a_common_stretch_does_not_begin_with_notes_that_score_nothing_together():
    assert path_of([62, 65], [60, 65], Ends.BOTH, near=0) == [[MATCH, 1, 1]]


@given(case=cases(least_notes=1), shift=st.integers(-4, 4), ends=st.sampled_from(Ends))
def test_16_bits_and_32_bits_are_added_up_alike(case, shift, ends):
    (in_16, moves_16), (in_32, moves_32) = (
        paths.align(
            kernel_songs(case.book),
            0,
            kernel_scores(case.lick, case.scores, number),
            int(ends),
            shift,
            NONE_BARRED,
            apart=False,
        )
        for number in (np.int16, np.int32)
    )
    np.testing.assert_array_equal(in_16, in_32)
    np.testing.assert_array_equal(moves_16, moves_32)


def test_totals_beyond_16_bits_are_right():
    lick = [60 + place % 12 for place in range(900)]
    scores = _equal_or_not(900)
    case = Case(lick, scores, [[Note(pitch, 0, 0) for pitch in lick]])
    assert align(case, Ends.SONG, 0)[0][-1].max() == 900 * 50
