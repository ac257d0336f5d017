"""Which places of a song are listed as passages, and which match too badly."""

from dataclasses import replace

import numpy as np
import pytest

from melodex.alignment.passage import passages_of
from tests.searched import searched
from tests.strategies import in_tempo, melody_of

LICK = melody_of(60, 67, 62, 69, 64, 71, 65, 72, 66, 59, 63, 70)
FAR_OFF = melody_of(30, 93, 33, 98, 29, durations=[3] * 5)


def with_later_place(first, second):
    parts = (first, FAR_OFF, second)
    return melody_of(
        *(pitch for part in parts for pitch in part.pitches.tolist()),
        durations=[value for part in parts for value in part.durations.tolist()],
        beat_strengths=[value for part in parts for value in part.beat_strengths.tolist()],
    )


def raised(melody, *notes):
    """Raise some notes by a half-step."""
    pitches = melody.pitches.copy()
    pitches[list(notes)] += 1
    return replace(melody, pitches=pitches)


def starts(lick, song, least=None):
    found, arrays = searched(lick, song)
    return [int(passage.pairs[0, 1]) for passage in passages_of(found, 0, arrays, least=least)]


def share_of(lick, song):
    return float(searched(lick, song)[0].shares[0])


def test_a_place_with_nine_tenths_of_the_best_score_is_listed_and_one_with_less_is_not():
    near, farther = raised(LICK, 4), raised(LICK, 4, 7)
    assert 0.9 < share_of(LICK, near) < 1
    assert 0.8 < share_of(LICK, farther) < 0.9
    assert starts(LICK, with_later_place(LICK, near)) == [0, 17]
    assert starts(LICK, with_later_place(LICK, farther)) == [0]


def test_the_best_passage_of_a_song_that_scores_below_zero_is_listed():
    found, arrays = searched(LICK, melody_of(60, durations=[4]))
    assert found.scores[0] < 0
    assert [len(passage.pairs) for passage in passages_of(found, 0, arrays)] == [1]


@pytest.mark.parametrize("notes", range(2, 13))
def test_the_same_notes_reach_a_least_share_of_1(notes):
    lick = melody_of(*LICK.pitches[:notes].tolist())
    assert starts(lick, with_later_place(lick, lick), least=1.0) == [0, notes + 5]


def test_the_prior_of_the_form_counts_in_the_share_that_a_place_needs():
    # Twice as far apart, notes stand one level higher in the measure: common practice, no source.
    lick = replace(LICK, beat_strengths=np.resize([0.5, 0.25], len(LICK)))
    doubled = replace(in_tempo(lick, 2), beat_strengths=2 * lick.beat_strengths)
    lesser = raised(doubled, 4)
    of_lesser = share_of(lick, lesser)
    song = with_later_place(doubled, lesser)
    assert starts(lick, song, least=of_lesser - 0.01) == [0, 17]
    assert starts(lick, song, least=of_lesser + 0.01) == [0]


def test_of_places_that_overlap_the_best_is_listed():
    # The same scale from a step higher and lower matches all notes but one.
    scale = melody_of(*range(48, 84, 2))
    found, arrays = searched(scale, scale)
    (passage,) = passages_of(found, 0, arrays, least=0.5)
    assert passage.transposition == 0
    assert passage.pairs.tolist() == [[note, note] for note in range(len(scale))]
