"""The songs found with bounds, against those found by aligning everything."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.best_songs import score_alike, score_best
from melodex.alignment.passage import PassageScores, in_forms, score_songs
from melodex.alignment.upper_bounds import UpperBounds
from melodex.index.song_arrays import SongArrays, join_performances, perform
from melodex.model.key import Key
from melodex.significance.permuted_licks import cut_lick
from tests.bundled import bundled_songs
from tests.searched import arrays_of
from tests.songbook import TERMS, songs_of_book
from tests.strategies import keys, melodies, melody_of

books = st.lists(melodies(), min_size=2, max_size=12)
COLUMNS = ("songs", "ranking", "scores", "forms", "transpositions")


@pytest.fixture(scope="module")
def songs() -> SongArrays:
    """A bundled book and the songbook's tabs, so that songs in rolls are among them."""
    tunes = [*bundled_songs("ryansMammoth")[::4]]
    tunes += [song for term in TERMS for song in songs_of_book(term).values()]
    return join_performances([perform(song.melody, song.sections, song.key) for song in tunes])


def best_first(found: PassageScores, limit: int):
    order = np.argsort(-found.ranking, kind="stable")[:limit]
    return [getattr(found, name)[order].tolist() for name in COLUMNS]


@given(lick=melodies(), book=books, key=st.none() | keys(), least=st.floats(-60, 60))
def test_no_song_ranks_above_its_bounds(lick, book, key, least):
    songs = arrays_of(*book, keys=[key] * len(book))
    every = np.arange(len(book))
    bounds = UpperBounds(in_forms(lick, songs, key), songs, every, least)
    rough = bounds.of_songs
    bounds.tighten(np.float32(least))
    close = bounds.of_songs
    ranking = score_songs(lick, songs, every, key).ranking
    assert (rough >= close).all()
    assert (close >= ranking).all()
    assert (rough >= least)[ranking >= least].all()


def test_a_rough_bound_says_of_most_songs_that_they_score_less(songs):
    every = np.arange(songs.n_songs)
    lick = cut_lick(songs, 3, 2, 16)
    least = float(np.sort(score_songs(lick, songs, every).ranking)[-10])
    bounds = UpperBounds(in_forms(lick, songs), songs, every, least)
    assert np.count_nonzero(bounds.of_songs >= least) < songs.n_songs / 4
    bounds.tighten(np.float32(least))
    assert np.count_nonzero(bounds.of_songs >= least) < songs.n_songs / 8


@pytest.mark.parametrize("n_notes", [3, 6, 9, 16, 40])
@pytest.mark.parametrize("limit", [1, 5, 20])
def test_the_best_songs_are_those_that_aligning_everything_finds(songs, n_notes, limit):
    every = np.arange(songs.n_songs)
    for song in (3, 60, 150, songs.n_songs - 1):
        lick = cut_lick(songs, song, 2, n_notes)
        key = Key("D", "major") if song == 60 else None
        found = score_best(lick, songs, every, key, limit=limit)
        whole = score_songs(lick, songs, every, key)
        assert best_first(found, limit) == best_first(whole, limit)


def test_without_a_limit_every_song_is_scored(songs):
    every = np.arange(songs.n_songs)
    found = score_best(cut_lick(songs, 3, 0, 8), songs, every, limit=None)
    assert found.songs.tolist() == every.tolist()


@pytest.mark.parametrize("n_notes", [8, 30])
def test_most_songs_are_not_aligned_for_a_lick_that_few_have(songs, n_notes):
    found = score_best(cut_lick(songs, 3, 0, n_notes), songs, np.arange(songs.n_songs), limit=1)
    assert len(found.songs) < songs.n_songs / 2


@pytest.mark.parametrize("least", [0.3, 0.5, 0.9])
def test_the_songs_alike_are_those_that_aligning_everything_finds(songs, least):
    every = np.arange(songs.n_songs)
    for song in (3, 60, songs.n_songs - 1):
        lick = cut_lick(songs, song, 2, 9)
        found, whole = score_alike(lick, songs, every, least=least), score_songs(lick, songs, every)
        assert found.songs[found.shares >= least].tolist() == (
            every[whole.shares >= least].tolist()
        )
        assert len(found.songs) < len(every)


TUNE = melody_of(60, 67, 62, 69, 64, 71, 65, 72)
COPIES = [*[melody_of(60, 61, 59)] * 3, *[TUNE] * 40]


def test_all_songs_that_rank_as_high_as_the_last_one_wanted_are_scored():
    arrays = arrays_of(*COPIES)
    found = score_best(TUNE, arrays, np.arange(len(COPIES)), limit=2)
    assert found.songs[found.shares == 1].tolist() == list(range(3, 43))


def test_songs_exactly_as_alike_as_wanted_are_found():
    found = score_alike(TUNE, arrays_of(*COPIES), np.arange(len(COPIES)), least=1.0)
    assert found.songs[found.shares >= 1].tolist() == list(range(3, 43))


def test_a_melody_that_the_thumb_plays_in_pinches_does_not_rank_above_its_bounds():
    lick = melody_of(48, 41, 50, 43, 47, 40, durations=[2] * 6, beat_strengths=[1, 0.5] * 3)
    rolled = melody_of(
        *[86, 90, 95, 90] * 6,
        durations=[0.5] * 24,
        beat_strengths=[1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 3,
    )
    beats = np.arange(0, 24, 4, dtype=np.int32)
    pinched = replace(
        rolled,
        strings=np.array([1, 2, 5, 2] * 6, np.int8),
        chord_tones=replace(
            rolled.chord_tones,
            notes=beats,
            pitches=lick.pitches,
            strings=np.full(6, 3, np.int8),
            frets=np.zeros(6, np.int8),
        ),
    )
    songs = arrays_of(pinched)
    found = score_songs(lick, songs, np.arange(1))
    assert found.searched[found.forms[0]].name == "inside a roll"
    bounds = UpperBounds(in_forms(lick, songs), songs, np.arange(1), 0.0)
    assert bounds.of_songs[0] >= found.scores[0]
    bounds.tighten(np.float32(0))
    assert bounds.of_songs[0] >= found.scores[0]
