"""Which songs plans and audits take for versions of one tune."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.index.store import open_catalogue
from tests.invented_tunes import TUNE, VERSION, book, up_a_fifth
from tests.songbook import SONGBOOK


@pytest.fixture(scope="module")
def tunes(tmp_path_factory):
    """The number of the tune that each song is a version of, by title."""
    folder = tmp_path_factory.mktemp("versions")
    first_part = TUNE[:8]
    songs = [("Tune", "G", TUNE), ("Version", "D", up_a_fifth(VERSION)), ("Part", "G", first_part)]
    (folder / "book.abc").write_text(book(*songs), encoding="utf-8")
    with open_catalogue(folder / "songs.db", create=True) as catalogue:
        add_songs(catalogue, [folder / "book.abc"])
        material = MaterialGatherer(catalogue).gather(catalogue.song_ids(), versions=True)
    return dict(zip(material.titles, material.tunes, strict=True))


def test_a_tune_with_a_few_other_measures_in_another_key_is_a_version(tunes):
    assert tunes["Version"] == tunes["Tune"]


def test_a_part_of_a_tune_is_no_version_of_it(tunes):
    assert tunes["Part"] != tunes["Tune"]


def test_no_version_is_missed_among_the_songs_that_may_be_one(tmp_path):
    with open_catalogue(tmp_path / "songs.db", create=True) as catalogue:
        add_songs(catalogue, [SONGBOOK])
        gatherer, songs = MaterialGatherer(catalogue), catalogue.song_ids()
        material = gatherer.gather(songs, versions=True)
        tune_of = dict(zip(material.songs, material.tunes, strict=True))
        missed = {
            (song, version)
            for song in songs
            for version in songs
            if version != song
            and tune_of[version] == tune_of[song]
            and version not in gatherer.possible_versions([song], set(songs) - {song})
        }
    assert len(set(tune_of.values())) < len(songs)  # there are some
    assert missed == set()
