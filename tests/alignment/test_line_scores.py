"""A lick against a few notes, transposition by transposition."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.forms import AS_WRITTEN
from melodex.alignment.line_scores import WrittenLine, line_scores
from melodex.alignment.passage import score_songs
from melodex.index.song_arrays import join_performances, perform
from tests.strategies import melodies, transposed


def line_of(melody):
    return WrittenLine(melody.pitches, melody.beat_strengths, melody.durations)


@given(melody=melodies(min_notes=2, max_notes=12), shift=st.integers(-5, 0))
def test_a_line_with_itself_scores_1_untransposed_and_nowhere_more(melody, shift):
    scores = line_scores(line_of(melody), line_of(melody), range(shift, 6))
    assert scores[-shift] == 1 == scores.max()


@given(lick=melodies(min_notes=2, max_notes=8), line=melodies(min_notes=2, max_notes=16))
def test_the_best_transposition_scores_what_a_search_as_written_does(lick, line):
    arrays = join_performances([perform(line, np.array([(0.0, line.onsets[-1] + 100.0)]))])
    searched = score_songs(lick, arrays, np.arange(1), forms=[AS_WRITTEN])
    lowest = int(line.pitches.min()) - int(lick.pitches.max())
    highest = int(line.pitches.max()) - int(lick.pitches.min())
    scores = line_scores(line_of(lick), line_of(line), range(lowest, highest + 1))
    assert scores.max() == pytest.approx(float(searched.shares[0]), abs=1e-5)


@given(
    lick=melodies(min_notes=2, max_notes=8),
    line=melodies(min_notes=2, max_notes=16),
    up=st.integers(-9, 9),
)
def test_transposing_the_line_moves_the_scores_as_far(lick, line, up):
    scores = line_scores(line_of(lick), line_of(line), range(-4, 5))
    moved = line_scores(line_of(lick), line_of(transposed(line, up)), range(up - 4, up + 5))
    np.testing.assert_array_equal(moved, scores)
