"""The best score at each transposition."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.kernels.alignment_paths import NONE_BARRED, align
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import Ends, Songs, unreached_in
from melodex.kernels.transposition_scores import scores_by_transposition

lines = st.lists(st.integers(55, 70), min_size=1, max_size=10)


def songs_of(pitches):
    kinds = np.zeros(len(pitches), np.uint16)
    return Songs(np.array([0, len(pitches)]), np.array(pitches, np.int16), kinds, kinds)


def scores_of(lick, number):
    alike = np.zeros((1, len(lick)), number)
    repeats = np.diff(lick, prepend=-1) == 0
    return PairScores(
        lick_pitches=np.array(lick, np.int16),
        pitch=np.array([-40, -15, 55, -15, -40], number),
        match=alike,
        split=alike - number(20),
        joined=np.where(repeats, alike - number(20), number(unreached_in(number))),
        lick_gaps=np.array([[-45] * len(lick), [-20] * len(lick)], number),
        song_gaps=np.repeat(np.array([[[-45]], [[-20]]], number), len(lick) + 1, axis=2),
    )


@pytest.mark.parametrize("number", [np.int16, np.int32])
@pytest.mark.parametrize("ends", list(Ends))
@given(lick=lines, song=lines, lowest=st.integers(-40, 5), many=st.integers(1, 70))
def test_each_transposition_scores_as_when_it_is_aligned_alone(
    number, ends, lick, song, lowest, many
):
    notes, scores = songs_of(song), scores_of(lick, number)
    found = scores_by_transposition(notes, 0, scores, ends, lowest, lowest + many - 1)
    for shift, score in enumerate(found.tolist(), start=lowest):
        totals, _ = align(notes, 0, scores, ends, shift, NONE_BARRED, False)
        best = {
            Ends.SONG: totals[-1].max(),
            Ends.NONE: totals[-1, -1],
            Ends.BOTH: totals.max(),
        }[ends]
        assert score == best


def test_melodies_of_the_whole_range_score_at_every_transposition_between_them():
    lick, song = [0, 127], [0, 127, 0]
    notes, scores = songs_of(song), scores_of(lick, np.int16)
    found = scores_by_transposition(notes, 0, scores, Ends.BOTH, -136, 167)
    assert found.argmax() == 136
    assert (found[:5] == 0).all()
    assert (found[-5:] == 0).all()
