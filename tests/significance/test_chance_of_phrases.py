"""How many phrases two songs would share by chance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.stretches import matching_stretches
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.significance.chance_of_phrases import PhraseChance, fit_chance_of_phrases
from melodex.significance.permuted_licks import with_shuffled_intervals, written_line
from tests.blocks_of_songs import blocks_of
from tests.bundled import bundled_songs

SONGS = 120
PAIRS = 150
scores = st.floats(0, 100)
models = st.builds(PhraseChance, rate=st.floats(0.1, 5), factor=st.floats(0.01, 10))


@pytest.fixture(scope="module")
def songs() -> SongArrays:
    """Every eighth tune of a bundled book."""
    chosen = bundled_songs("ryansMammoth")[::8][:SONGS]
    return join_performances([perform(song.melody, song.sections) for song in chosen])


def test_shuffled_songs_share_about_as_many_phrases_as_expected(songs):
    # Shuffles that the fit has not seen; some 40 stretches come to a level of .3.
    model = fit_chance_of_phrases(songs, seed=1)
    assert model is not None
    rng = np.random.default_rng(2)
    found = 0
    for _ in range(PAIRS):
        one, other = (
            with_shuffled_intervals(written_line(songs, song), rng)
            for song in rng.choice(SONGS, 2, replace=False).tolist()
        )
        size = len(one) * len(other)
        stretches = matching_stretches(one, other, least_score=7.0)
        found += sum(model.expected(stretch.log_odds, size) <= 0.3 for stretch in stretches)
    assert 1 / 2 < found / (0.3 * PAIRS) < 2


@given(model=models, better=scores, worse=scores, size=st.integers(1, 10**6))
def test_a_phrase_that_scores_more_is_never_expected_more_often(model, better, worse, size):
    worse, better = sorted((worse, better))
    assert model.expected(better, size) <= model.expected(worse, size)


@given(model=models, score=scores, size=st.integers(1, 10**6))
def test_twice_as_long_a_song_shares_twice_as_many_by_chance(model, score, size):
    assert model.expected(score, 2 * size) == pytest.approx(2 * model.expected(score, size))


def test_fewer_than_twenty_songs_have_no_chance_level():
    tune = [60, 62, 64, 65, 67, 65, 64, 62]
    assert fit_chance_of_phrases(blocks_of(*[tune] * 19, []).songs, seed=1) is None


def test_songs_too_short_to_share_a_phrase_have_no_chance_level():
    assert fit_chance_of_phrases(blocks_of(*[[60, 62]] * 25).songs, seed=1) is None
