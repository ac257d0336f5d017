"""The compiled scan against its slow twin and against a general-purpose aligner."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import LANES
from melodex.kernels.pair_alignment import NO_SCORE, Ends
from tests.bundled import bundled_songs
from tests.reference.general_aligner import affine_aligner, best_score
from tests.reference.pair_hmm import Note, Scores
from tests.reference.pair_hmm import best_score as twin_score
from tests.reference.pair_notes import Case, cases, lines_of_notes, scan, transpositions_of

every_ends = pytest.mark.parametrize("ends", list(Ends))


def best_by_twin(case, song, ends):
    """Return the best score over every transposition, and the lowest one that has it."""
    by_shift = {
        shift: twin_score(case.lick, song, case.scores, ends, shift)
        for shift in transpositions_of(case.lick, song)
    }
    best = max(by_shift.values())
    return best, min(shift for shift, score in by_shift.items() if score == best)


@every_ends
@given(case=cases(least_notes=1))
def test_each_song_scores_what_the_twin_says_at_the_lowest_of_the_best_transpositions(case, ends):
    assert scan(case, ends) == [best_by_twin(case, song, ends) for song in case.book]


@every_ends
@given(case=cases())
def test_16_bits_and_32_bits_score_alike(case, ends):
    assert scan(case, ends, np.int16) == scan(case, ends, np.int32)


@every_ends
@given(case=cases())
def test_a_song_scores_the_same_wherever_it_stands_in_a_scan(case, ends):
    together = scan(case, ends)
    assert [scan(case, ends, selected=[song])[0] for song in range(len(case.book))] == together
    backwards = list(range(len(case.book)))[::-1]
    assert scan(case, ends, selected=backwards) == together[::-1]


def simple_scores(lick, *, split=-20, gap=-30, further=-10):
    """Return scores of 50 for equal pitches, -50 for others; one kind of note."""
    row = [[0] * len(lick)]
    return Scores(
        pitch=[-50, 50, -50],
        match=row,
        split=[[split] * len(lick)],
        joined=[[split] * len(lick)],
        lick_gaps=[[gap] * len(lick), [further] * len(lick)],
        song_gaps=[[[gap] * (len(lick) + 1)], [[further] * (len(lick) + 1)]],
    )


def plain_song(*pitches):
    return [Note(pitch, 0, 0) for pitch in pitches]


def simple_case(lick, *songs, **scores):
    return Case(lick, simple_scores(lick, **scores), [plain_song(*song) for song in songs])


@every_ends
def test_a_song_without_notes_has_no_score_and_disturbs_no_other(ends):
    case = simple_case([60, 62], (60, 62), (), (60, 62))
    assert scan(case, ends) == [(100, 0), (NO_SCORE, 0), (100, 0)]


@every_ends
def test_one_note_for_two_of_its_pitch_costs_the_split(ends):
    assert scan(simple_case([60, 62, 65], (60, 62, 62, 65)), ends) == [(130, 0)]
    assert scan(simple_case([60, 62, 62, 65], (60, 62, 65)), ends) == [(130, 0)]


@every_ends
def test_notes_of_two_pitches_are_neither_split_nor_joined(ends):
    # A gap of one note costs 30, a split would cost nothing.
    assert scan(simple_case([60, 62, 65], (60, 62, 63, 65), split=0), ends) == [(120, 0)]
    assert scan(simple_case([60, 62, 63, 65], (60, 62, 65), split=0), ends) == [(120, 0)]


@every_ends
def test_three_notes_of_one_pitch_for_one_are_a_split_and_a_gap(ends):
    assert scan(simple_case([60, 62, 65], (60, 62, 62, 62, 65), further=-30), ends) == [(100, 0)]


def test_the_ends_that_may_stay_outside_cost_nothing_and_the_others_a_gap():
    case = simple_case([60, 62, 65], (72, 60, 62, 65, 72, 72))
    assert scan(case, Ends.SONG) == [(150, 0)]
    assert scan(case, Ends.BOTH) == [(150, 0)]
    assert scan(case, Ends.NONE) == [(150 - 30 - (30 + 10), 0)]
    case = simple_case([72, 60, 62, 65, 72, 72], (60, 62, 65))
    assert scan(case, Ends.SONG) == [(150 - 30 - (30 + 10), 0)]
    assert scan(case, Ends.BOTH) == [(150, 0)]
    assert scan(case, Ends.NONE) == [(150 - 30 - (30 + 10), 0)]


def test_a_lick_that_a_song_lacks_scores_what_leaving_out_all_of_it_costs():
    cheap = simple_case([60, 66, 61], (60,), gap=-6, further=-5)
    assert scan(cheap, Ends.SONG) == [(50 - 6 - 5, -1)]
    never = cheap._replace(scores=cheap.scores._replace(pitch=[-50] * 3))
    assert scan(never, Ends.SONG)[0][0] == -6 - 5 - 5
    assert scan(never, Ends.BOTH)[0][0] == 0


@given(case=cases(least_notes=1), bonus=st.lists(st.integers(-50, 50), min_size=12, max_size=12))
def test_the_bonus_is_that_of_the_songs_tonic_moved_back_to_the_lick(case, bonus):
    tonics = [(5 * place + 2) % 12 for place in range(len(case.book))]
    expected = []
    for song, tonic in zip(case.book, tonics, strict=True):
        by_shift = {
            shift: twin_score(case.lick, song, case.scores, Ends.SONG, shift)
            + bonus[(tonic - shift) % 12]
            for shift in transpositions_of(case.lick, song)
        }
        best = max(by_shift.values())
        expected.append((best, min(shift for shift in by_shift if by_shift[shift] == best)))
    assert scan(case, Ends.SONG, bonus=bonus, tonics=tonics) == expected


@pytest.mark.parametrize("tonic", range(12))
def test_every_pitch_class_may_be_a_tonic_with_a_bonus(tonic):
    case = simple_case([60, 64], (60, 64))
    bonus = [7 * (pitch_class == tonic) for pitch_class in range(12)]
    assert scan(case, Ends.SONG, bonus=bonus, tonics=[tonic]) == [(100 + 7, 0)]


@given(case=cases(), bonus=st.lists(st.integers(1, 50), min_size=12, max_size=12))
def test_a_song_whose_tonic_is_unknown_has_no_bonus(case, bonus):
    assert scan(case, Ends.SONG, bonus=bonus) == scan(case, Ends.SONG)


@every_ends
def test_songs_of_the_whole_range_need_more_transpositions_than_lie_side_by_side(ends):
    low, high = [0, 2, 4, 0], [120, 127, 123, 125]
    case = simple_case(low, (127, 0), tuple(high), (0, 2, 4, 0, 127))
    assert all(len(transpositions_of(low, song)) > LANES for song in case.book[::2])
    assert scan(case, ends) == [best_by_twin(case, song, ends) for song in case.book]
    upside_down = simple_case([125, 127, 124], (0, 2, 126))
    assert scan(upside_down, ends) == [
        best_by_twin(upside_down, song, ends) for song in upside_down.book
    ]


@given(lick=st.lists(st.integers(58, 64), min_size=1, max_size=6), up=st.integers(-24, 24))
@settings(max_examples=30)
def test_moving_the_song_moves_the_transposition_and_changes_no_score(lick, up):
    case = simple_case(lick, (60, 62, 62, 59, 64))
    moved = simple_case(lick, tuple(up + pitch for pitch in (60, 62, 62, 59, 64)))
    (score, shift), (score_there, shift_there) = (
        scan(each, Ends.SONG)[0] for each in (case, moved)
    )
    assert (score_there, shift_there) == (score, shift + up)


AFFINE = {"gap": -34, "further": -12}
NO_SPLIT = -5000
BY_DISTANCE = [-45, -15, 55, -15, -45]  # the ends apply beyond


def witnessed_case(lick, *songs):
    scores = simple_scores(lick, split=NO_SPLIT, **AFFINE)._replace(pitch=BY_DISTANCE)
    return Case(lick, scores, [plain_song(*song) for song in songs])


@every_ends
@given(
    lick=st.lists(st.integers(55, 70), min_size=1, max_size=12),
    song=st.lists(st.integers(50, 74), min_size=1, max_size=30),
)
@settings(max_examples=40)
def test_without_splits_it_is_a_general_aligners_alignment_with_affine_gaps(lick, song, ends):
    # Source: Biopython 1.88, PairwiseAligner, at every transposition.
    aligner = affine_aligner({0: 55, 1: -15}, -45, (AFFINE["gap"], AFFINE["further"]), ends)
    expected = best_score(aligner, np.array(song), np.array(lick))
    assert scan(witnessed_case(lick, song), ends)[0][0] == expected


@every_ends
def test_hundreds_of_real_pairs_score_what_a_general_aligner_says(ends):
    # Source: Biopython 1.88, PairwiseAligner, at every transposition.
    rng = np.random.default_rng(1782)
    lines = [song.melody.pitches.tolist()[:80] for song in bundled_songs("airdsAirs")[::40]]
    book = [line for line in lines if len(line) >= 20]
    aligner = affine_aligner({0: 55, 1: -15}, -45, (AFFINE["gap"], AFFINE["further"]), ends)
    compared = 0
    for line in book[:12]:
        first = int(rng.integers(0, 8))
        lick = line[first : first + int(rng.integers(4, 13))]
        expected = [best_score(aligner, np.array(song), np.array(lick)) for song in book]
        assert [score for score, _ in scan(witnessed_case(lick, *book), ends)] == expected
        compared += len(book)
    assert compared > 200


def test_the_longest_lick_in_16_bits_scores_as_in_32():
    # 280 notes of 2.7 nats each, near the most that 16 bits hold, and the same left out.
    lick = [60 + note % 12 for note in range(280)]
    scores = simple_scores(lick, gap=-100, further=-36)._replace(
        pitch=[-126, 86, -126], split=[[-28] * 280]
    )
    for song in (lick, lick[::-1], [90, 30, 90], lick * 3):
        case = Case(lick, scores, [plain_song(*song)])
        assert scan(case, Ends.SONG, np.int16) == scan(case, Ends.SONG, np.int32)


@given(song=lines_of_notes(least=1))
def test_every_transposition_that_overlaps_is_tried_and_no_other(song):
    # One note meets each note of the song at one transposition each.
    case = Case([60], simple_scores([60])._replace(match=[[0]] * 3, song_gaps=[[[-9] * 2] * 3] * 2,
                split=[[-99]] * 3, joined=[[-99]] * 3), [song])  # fmt: skip
    assert scan(case, Ends.SONG) == [(50, min(note.pitch for note in song) - 60)]


def test_what_is_unreached_lies_below_every_score_in_its_type():
    for number in (np.int16, np.int32):
        assert np.iinfo(number).min < kernel.unreached_in(number) < -11_000
