"""The warping twin against a textbook and a general-purpose library."""

import librosa
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference.slow_subsequence_dtw import STEPS, subsequence_dtw_twin
from tests.strategies import interval_lines

# Source: Müller, Fundamentals of Music Processing, 2015, chapter 7; the row was recomputed.
QUERY, SONG = [3, 0, 6], [2, 4, 0, 4, 0, 0, 5, 2]
LAST_ROW = [7, 5, 7, 3, 7, 7, 2, 6]


def librosa_accumulated_cost(query, song, steps):
    local_cost = np.abs(np.subtract.outer(query, song)).astype(np.float64)
    return librosa.sequence.dtw(
        C=local_cost, step_sizes_sigma=np.array(STEPS[steps]), subseq=True, backtrack=False
    )


def test_the_textbook_query_has_the_textbook_last_row():
    _, last_row = subsequence_dtw_twin(QUERY, SONG, "hold")
    assert last_row.tolist() == LAST_ROW


def test_the_textbook_query_is_found_best_at_its_textbook_place():
    _, last_row = subsequence_dtw_twin(QUERY, SONG, "hold")
    assert last_row.argmin() == 6
    assert last_row.min() == 2.0


def test_a_query_anchored_at_both_ends_has_the_textbook_distance():
    # Source: Müller, Fundamentals of Music Processing, 2015, section 3.2.1: DTW(X, Y) = 9.
    # A sentinel that only the first and last value can afford to meet anchors both ends.
    far = 1000
    query, song = [far, 1, 3, 9, 2, 1, -far], [far, 2, 0, 0, 8, 7, 2, -far]
    _, last_row = subsequence_dtw_twin(query, song, "hold")
    assert last_row[-1] == 9.0


@pytest.mark.parametrize("steps", STEPS)
@given(query=interval_lines(max_size=12), song=interval_lines(max_size=40))
def test_every_cell_agrees_with_librosa(steps, query, song):
    accumulated_cost, _ = subsequence_dtw_twin(query.tolist(), song.tolist(), steps)
    expected = librosa_accumulated_cost(query, song, steps)
    np.testing.assert_array_equal(accumulated_cost, expected)


def test_skipping_never_leaves_out_the_first_interval_of_the_query():
    # With the 9 left out, 1 2 would match for nothing; so the 9 meets the 1 at a cost of 8.
    _, last_row = subsequence_dtw_twin([9, 1, 2], [0, 1, 2], "skip")
    assert last_row.min() == 8.0


def test_skipping_leaves_out_one_interval_of_the_query():
    _, last_row = subsequence_dtw_twin([1, 9, 2], [1, 2], "skip")
    assert last_row.min() == 0.0


def test_skipping_leaves_out_one_interval_of_the_song():
    _, last_row = subsequence_dtw_twin([1, 2], [1, 9, 2], "skip")
    assert last_row.min() == 0.0


def test_skipping_never_leaves_out_two_intervals_in_a_row():
    _, last_row = subsequence_dtw_twin([1, 2], [1, 9, 9, 2], "skip")
    assert last_row.min() > 0


def test_holding_lets_one_value_match_two():
    _, last_row = subsequence_dtw_twin([1, 5, 5, 2], [9, 1, 5, 2, 9], "hold")
    assert last_row.min() == 0.0


@pytest.mark.parametrize("steps", STEPS)
@given(song=interval_lines(), places=st.tuples(st.integers(0, 39), st.integers(0, 39)))
def test_a_stretch_of_the_song_is_found_in_it_at_no_cost(steps, song, places):
    first, last = sorted(place % len(song) for place in places)
    _, last_row = subsequence_dtw_twin(song[first : last + 1].tolist(), song.tolist(), steps)
    assert last_row[last] == 0.0
