"""The counting of the retrieval benchmark: titles, decisions, baseline scores and averages."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from melodex.model.lick import Lick
from tests.benchmarks.quality import retrieval_metrics as metrics
from tests.benchmarks.quality.retrieval_methods import plain_dtw, trigram_cosine, trigram_overlap
from tests.benchmarks.quality.retrieval_titles import HALVES, half_of, title_key
from tests.benchmarks.quality.retrieval_versions import families, read_pairs
from tests.blocks_of_songs import blocks_of
from tests.songbook import TERMS, songs_of_book
from tests.strategies import melody_of


def test_average_precision_is_that_of_the_witness_manual():
    # Source: scikit-learn 1.5, average_precision_score, the example of its manual: 0.83.
    scores = np.array([0.1, 0.4, 0.35, 0.8])
    assert metrics.quality(scores, {2, 3}).average_precision == pytest.approx(0.8333, abs=1e-4)


@given(
    scores=st.lists(st.floats(-5, 5), min_size=3, max_size=40, unique=True),
    relevant=st.sets(st.integers(0, 39), min_size=1),
)
def test_average_precision_equals_that_of_scikit_learn(scores, relevant):
    witness = pytest.importorskip("sklearn.metrics")
    relevant = {song for song in relevant if song < len(scores)}
    assume(relevant)
    labels = [song in relevant for song in range(len(scores))]
    found = metrics.quality(np.array(scores), relevant)
    expected = witness.average_precision_score(labels, scores)
    assert found.average_precision == pytest.approx(expected)
    assert found.top_one == labels[int(np.argmax(scores))]


def test_ignored_songs_take_no_rank_and_recall_counts_ten_songs_at_most():
    scores = -np.arange(30.0)
    assert metrics.ranks_of(scores, {3, 5}, ignored={0, 4}).tolist() == [3, 4]
    # By hand: of 12 relevant songs 8 are among the first ten, where ten would have had room.
    relevant = {0, 1, 2, 3, 4, 5, 6, 7, 20, 21, 22, 23}
    assert metrics.quality(scores, relevant).recall_at_10 == 0.8


def test_a_bootstrap_interval_is_as_wide_as_the_normal_law_has_it():
    # Source: central limit theorem, 1.96 standard errors on either side (arithmetic).
    values = np.random.default_rng(5).random(400)
    interval = metrics.bootstrap(values, [str(number) for number in range(400)])
    half_width = 1.96 * values.std() / 20
    assert interval.mean == pytest.approx(values.mean())
    assert (interval.high - interval.low) / 2 == pytest.approx(half_width, rel=0.1)
    in_pairs = metrics.bootstrap(np.repeat(values, 2), [str(number // 2) for number in range(800)])
    assert in_pairs.high - in_pairs.low == pytest.approx(interval.high - interval.low, rel=0.1)


def test_the_share_removed_of_what_is_missing_is_counted_from_the_plain_method():
    plain, better = np.array([0.0, 0.5, 0.5]), np.array([0.5, 0.75, 0.75])
    assert metrics.share_removed(plain, better, list("abc")).mean == pytest.approx(0.5)
    assert metrics.share_removed(plain, plain, list("abc")) == (0, 0, 0)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("The Rakes Of Mallow", "Rakes of Mallo."),
        ("Fisher's -- Hornpipe", "Fishers' Hornpipe (1st Setting)"),
        ("Larry O'Gaff -- Jig", "LARRY O'GAFF"),
        ("Pigeon on the Gat:e -- Reel", "The Pigeon On The Gate"),
        ("Flowers of Edinburg", "The Flowers of Edinburgh"),
        ("Malbruck (4-30), S. 42", "Malbrouke."),
    ],
)
def test_titles_that_two_books_spell_differently_have_one_key(first, second):
    assert title_key(first) == title_key(second)
    assert half_of(first) == half_of(second)


def test_titles_of_two_tunes_keep_two_keys_and_fall_into_either_half():
    titles = [title for term in TERMS for title in songs_of_book(term)] + [
        "Lord Gordon",
        "Lord Alexander Gordon",
        "A Jig",
    ]
    assert len({title_key(title) for title in titles}) == len(titles)
    assert {half_of(title) for title in titles} == set(HALVES)


def test_every_decision_joins_two_books_and_gives_its_reason():
    pairs = read_pairs()
    assert len({title_key(pair.title) for pair in pairs if pair.is_kept}) > 150
    assert all(pair.reason for pair in pairs)
    books = [{name.partition("/")[0] for name in pair.songs} for pair in pairs]
    assert [pair for pair, both in zip(pairs, books, strict=True) if len(both) != 2] == []
    assert len({frozenset(pair.songs) for pair in pairs}) == len(pairs)


def test_a_version_belongs_to_one_family_with_all_that_kept_pairs_link():
    family_of = {name: number for number, family in enumerate(families()) for name in family}
    assert sum(len(family) for family in families()) == len(family_of)
    kept = [pair for pair in read_pairs() if pair.is_kept]
    assert all(family_of[pair.songs[0]] == family_of[pair.songs[1]] for pair in kept)


def lick_of(*pitches):
    return Lick(melody_of(*pitches), "test")


def trigrams(pitches):
    steps = np.diff(pitches).tolist()
    return Counter(zip(steps, steps[1:], steps[2:], strict=False))


lines = st.lists(st.integers(60, 64), min_size=4, max_size=20)


@given(lick=lines, songs=st.lists(lines, min_size=1, max_size=5))
def test_trigram_scores_equal_those_counted_in_dictionaries(lick, songs):
    blocks, own = blocks_of(*songs), trigrams(lick)
    counts = [trigrams(song) for song in songs]
    overlap = [(own & other).total() for other in counts]
    np.testing.assert_allclose(trigram_overlap(lick_of(*lick), blocks), overlap)
    length = [np.sqrt(sum(n * n for n in other.values())) for other in counts]
    products = [sum(own[key] * other[key] for key in own) for other in counts]
    expected = np.array(products) / np.maximum(length, 1)
    np.testing.assert_allclose(trigram_cosine(lick_of(*lick), blocks), expected)


def test_plain_time_warping_is_the_textbooks():
    # Source: Mueller, Fundamentals of Music Processing, 2015, ch. 7: X in Y costs 2.
    lick, song = np.cumsum([60, 3, 0, 6]), np.cumsum([60, 2, 4, 0, 4, 0, 0, 5, 2])
    assert plain_dtw(lick_of(*lick.tolist()), blocks_of(song.tolist())).tolist() == [-2]
