"""Two books whose common part is known: how much of it the audit finds."""

import numpy as np
import pytest

from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.finder.teaching.repertoire_audit import audit
from melodex.index.store import open_catalogue
from melodex.lessons.overlap import overlap_of
from tests.two_books import VERSIONS, file_books, file_songs, random_songs, two_books

# Measured: .033, all of it stretches that unrelated tunes share by chance with one of fifty others.
# With passages of 20 nats instead of 16 (`phrases/passages.py`) it was 0.
COVERAGE_ERROR = 0.02
UNRELATED_SONGS, UNRELATED_PAIRS = 40, 200


@pytest.fixture(scope="module")
def books():
    return two_books()


@pytest.fixture(scope="module")
def compared(books, tmp_path_factory):
    """The two books side by side, for all tests."""
    path = tmp_path_factory.mktemp("books") / "songs.db"
    with open_catalogue(path, create=True) as catalogue:
        file_books(catalogue, books)
        comparison = audit(catalogue, by="collection").comparison
    assert comparison is not None
    return comparison


@pytest.fixture(scope="module")
def found(compared):
    """The numbers of tunes planted in both books, of each two titles found as one tune."""
    return [
        (title_a.split()[0], title_b.split()[0])
        for tune in compared.common_tunes
        for title_a in tune.titles_a
        for title_b in tune.titles_b
    ]


def test_every_copy_and_every_tune_that_was_changed_is_found_in_both_books(books, found):
    made = {str(n) for n, planted in enumerate(books.planted) if planted.left is not None}
    assert len(made) == 33
    assert made <= {a for a, b in found if a == b}


def test_five_of_seven_versions_in_other_books_are_found(books, found):
    versions = {str(n) for n, planted in enumerate(books.planted) if planted.left is None}
    assert len(versions) == VERSIONS
    assert len(versions & {a for a, b in found if a == b}) >= 5


def test_no_tune_is_found_in_both_books_that_is_not_there(found):
    assert [pair for pair in found if pair[0] != pair[1] or not pair[0].isdigit()] == []


def test_a_copy_in_any_key_is_known_wholly(books, compared):
    shares = {song.title: song.share for song in compared.coverage_a.songs}
    copies = [n for n, planted in enumerate(books.planted) if planted.how == "copy"]
    assert {shares[f"{n} copy a"] for n in copies} == {1.0}


def test_coverage_is_what_was_built_in(books, compared):
    # The versions are left out: how much of each the other book has, nobody knows.
    left = {f"{n} {each.how} a": each.left for n, each in enumerate(books.planted)}
    songs = [song for song in compared.coverage_a.songs if left.get(song.title, 0.0) is not None]
    beats = sum(song.beats for song in songs)
    built = sum((left.get(song.title) or 0.0) * song.beats for song in songs) / beats
    assert abs(sum(song.covered for song in songs) / beats - built) <= COVERAGE_ERROR


def test_who_knows_one_tune_knows_hardly_anything_of_an_unrelated_one(tmp_path):
    with open_catalogue(tmp_path / "songs.db", create=True) as catalogue:
        file_songs(catalogue, random_songs(UNRELATED_SONGS), "Book")
        songs = [song for song, _ in catalogue.titles()]
        overlap = overlap_of(MaterialGatherer(catalogue).gather(songs))
    pairs = np.argwhere(~np.eye(len(songs), dtype=np.bool_))
    drawn = np.random.default_rng(0).choice(len(pairs), UNRELATED_PAIRS, replace=False)
    shares = [overlap.taught_beats[a, b] / overlap.beats[a] for a, b in pairs[drawn].tolist()]
    assert np.mean(shares) <= 0.05
