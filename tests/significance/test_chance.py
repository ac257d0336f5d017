import numpy as np
import pytest

from melodex.alignment.best_songs import sample_of
from melodex.alignment.passage import PassageScores, score_songs
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.significance.background import ChanceModel
from melodex.significance.chance import expected_by_chance, fit_chance, is_weak_evidence
from melodex.significance.permuted_licks import cut_lick, permuted_lick
from tests.blocks_of_songs import blocks_of
from tests.bundled import bundled_songs
from tests.songbook import PLAIN_PLACES, TERMS, lick_song, songs_of_book

SONGS = 120
LICKS = 60


def levels_of(model: ChanceModel, songs: SongArrays, found: PassageScores):
    levels = expected_by_chance(
        model, found, songs, aligned=found.songs, n_searched=len(found.songs)
    )
    assert levels is not None
    return levels


@pytest.fixture(scope="module")
def songs() -> SongArrays:
    """Return every eighth tune of a bundled book."""
    chosen = bundled_songs("ryansMammoth")[::8][:SONGS]
    return join_performances([perform(song.melody, song.sections) for song in chosen])


@pytest.fixture(scope="module")
def model(songs):
    return fit_chance(songs, seed=1)


def test_permuted_licks_find_by_chance_about_as_many_songs_as_expected(songs, model):
    # Permutations that the fit has not seen. A lick finds many songs or none, so the mean of 60 has
    # a relative error of about a quarter at 10 and a half at 1; the full table, with 500 licks on
    # all bundled songs, is printed by tests/benchmarks/chance_counts.py.
    rng = np.random.default_rng(2)
    everywhere = np.arange(SONGS)
    counts = np.zeros(2)
    for place in range(LICKS):
        permuted = permuted_lick(songs, 5 + place % 12, rng)
        assert permuted is not None
        lick, cut_from = permuted
        found = score_songs(lick, songs, everywhere[everywhere != cut_from])
        expected = levels_of(model, songs, found)
        counts += [np.count_nonzero(expected <= level) / LICKS for level in (1, 10)]
    assert 1 / 3 < counts[0] < 3
    assert 5 < counts[1] < 20


def test_a_better_score_is_never_expected_more_often(songs, model):
    found = score_songs(cut_lick(songs, 3, 0, 9), songs, np.arange(SONGS))
    expected = levels_of(model, songs, found)
    best_first = np.argsort(-found.ranking)
    assert (np.diff(expected[best_first]) >= 0).all()
    assert 0 < expected.min() < 0.1
    assert expected.max() <= SONGS


def test_fewer_songs_searched_are_expected_to_match_by_chance_in_proportion(songs, model):
    found = score_songs(cut_lick(songs, 3, 0, 9), songs, np.arange(SONGS))
    every = levels_of(model, songs, found)
    half = expected_by_chance(model, found, songs, aligned=found.songs, n_searched=SONGS // 2)
    assert half is not None
    np.testing.assert_allclose(half, every / 2)


def test_a_few_songs_searched_are_measured_by_the_catalogues_background(songs, model):
    # The model's background is all songs, since there are few.
    found = score_songs(cut_lick(songs, 3, 0, 9), songs, np.arange(SONGS))
    few = score_songs(found.lick, songs, np.array([3, 40, 80]))
    levels = expected_by_chance(model, few, songs, aligned=few.songs, n_searched=SONGS)
    np.testing.assert_array_equal(levels, levels_of(model, songs, found)[few.songs])


def test_a_sample_has_songs_of_all_lengths():
    songs = blocks_of(*[[60] * notes for notes in range(30, 0, -1)], []).songs
    sample = sample_of(np.arange(30), songs, 4)
    assert np.diff(songs.first_notes)[sample].tolist() == [30, 20, 10, 1]


def test_a_warm_up_that_nearly_every_song_has_is_no_rare_match(songs, model):
    pair = cut_lick(songs, 3, 0, 2)
    every = np.arange(SONGS)
    found = score_songs(pair, songs, every)
    levels = expected_by_chance(model, found, songs, aligned=every, n_searched=SONGS)
    # Two notes are weak evidence; their level depends on the draw of permuted licks.
    assert levels is None or levels.min() > 0.05


@pytest.mark.parametrize("lick_id", ["three-bar-c", "lantern-fill", "kite-string"])
def test_a_lick_that_many_songs_of_a_small_book_share_is_not_taken_for_chance(lick_id):
    by_title = {title: song for book in TERMS for title, song in songs_of_book(book).items()}
    songs = join_performances([perform(song.melody, song.sections) for song in by_title.values()])
    model = fit_chance(songs, seed=1)
    assert model is not None
    lick = lick_song(lick_id).melody
    levels = levels_of(model, songs, score_songs(lick, songs, np.arange(len(by_title))))
    exact = {
        place["song"]
        for place in PLAIN_PLACES
        if place["lick"] == lick_id and place["variant"] == "exact"
    }
    assert exact
    assert max(levels[place] for place, title in enumerate(by_title) if title in exact) < 0.01


def test_a_handful_of_songs_has_no_chance_level():
    songs = blocks_of(*[[60, 62, 64, 65, 67, 65, 64, 62]] * 5).songs
    assert fit_chance(songs, seed=1) is None


def test_four_and_five_notes_are_called_weak_evidence():
    assert [is_weak_evidence(n_notes) for n_notes in (4, 5, 6)] == [True, True, False]
