"""Runs that tunes share, and what they prove."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.phrases.lines import lines_of
from melodex.phrases.seeds import FEWEST_STEPS, Seed, evidence, interval_sizes, seeds_of
from tests.blocks_of_songs import blocks_of


def shared_runs(*songs, tunes=None):
    arrays = blocks_of(*songs).songs
    lines = lines_of(arrays, np.arange(len(songs)))
    tunes = np.arange(len(songs)) if tunes is None else np.array(tunes)
    _, by_pitch = seeds_of(lines, tunes)
    return [
        (lines.intervals[seed.places[0] : seed.places[0] + seed.steps].tolist(), n_tunes)
        for run, n_tunes in enumerate(by_pitch.tunes.tolist())
        for seed in [by_pitch.seed(run)]
    ]


LICK = [60, 67, 65, 64, 62, 57, 59, 62]


def test_a_lick_in_two_keys_is_a_run_of_two_tunes():
    other = [50, 51, *(pitch + 4 for pitch in LICK), 90]
    assert shared_runs([*LICK, 80], other) == [(np.diff(LICK).tolist(), 2)]


def test_versions_of_a_tune_count_once():
    assert shared_runs(LICK, LICK, tunes=[0, 0]) == [(np.diff(LICK).tolist(), 1)]


def test_a_run_of_fewer_steps_is_no_seed():
    few = LICK[:FEWEST_STEPS]
    assert shared_runs([*few, 80], [*few, 30]) == []


def test_evidence_is_nothing_where_as_many_are_expected():
    # 8 tunes where chance brings 8; and twice as many are 16 * log2(2).
    assert evidence(np.array([8, 16]), np.array([3.0, 3.0])).tolist() == [0.0, 16.0]


@given(tunes=st.integers(2, 50), chance=st.floats(-20, 0))
def test_evidence_grows_with_spread_and_with_surprise(tunes, chance):
    here = evidence(np.array([tunes]), np.array([chance]))[0]
    assert evidence(np.array([tunes + 1]), np.array([chance]))[0] > here
    assert evidence(np.array([tunes]), np.array([chance - 1]))[0] > here


def test_intervals_of_a_scale_are_steps_whatever_their_size():
    c_major = np.array([2, 2, 1, 2, 2, 2, 1])
    assert len(set(interval_sizes(c_major).tolist())) == 1
    assert interval_sizes(-c_major)[0] != interval_sizes(c_major)[0]


@pytest.mark.parametrize(("taken", "left"), [(3, [0, 8]), (4, [8])])
def test_a_place_counts_while_more_than_half_of_it_is_free(taken, left):
    free = np.ones(16, np.bool_)
    free[:taken] = False
    seed = Seed(steps=7, places=np.array([0, 8]))
    assert seed.mostly_on(free).tolist() == left
