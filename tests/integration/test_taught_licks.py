"""What songs teach: from recurring and kept licks to the material of lesson plans."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.keeping_licks import keep_lick
from melodex.finder.recurring_licks import recurring_licks
from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.finder.teaching.taught_licks import taught_licks
from melodex.index.store import open_catalogue
from melodex.search.query import lick_from_abc
from tests.songbook import PLAIN_PLACES, SONGBOOK, TERMS, TRUTH


@pytest.fixture
def catalogue(tmp_path):
    with open_catalogue(tmp_path / "songs.db", create=True) as opened:
        add_songs(opened, [SONGBOOK / book for book in TERMS])
        yield opened


def test_every_recurring_lick_is_taught_in_each_of_its_songs(catalogue):
    songs = catalogue.song_ids()
    taught = taught_licks(catalogue, songs, recurring_in=songs)
    listed = {lick.name: lick for lick in recurring_licks(catalogue, limit=500)}
    assert {lick.name for lick in taught} == set(listed)
    for lick in taught:
        in_songs = {song for song, _, _ in lick.places}
        assert in_songs == {place.song for place in listed[lick.name].occurrences}


def test_a_kept_lick_is_taught_under_its_own_name_and_not_twice(catalogue):
    (abc,) = (row["abc"] for row in TRUTH["lick"] if row["id"] == "three-bar-c")
    songs = catalogue.song_ids()
    before = taught_licks(catalogue, songs, recurring_in=songs)
    keep_lick(catalogue, "C lick", lick_from_abc(abc))
    material = MaterialGatherer(catalogue).gather(songs)
    assert material.licks[0] == "C lick"
    assert len(material.licks) <= len(before) + 1
    exact = {
        (place["song"], place["first_measure"], place["last_measure"])
        for place in PLAIN_PLACES
        if place["lick"] == "three-bar-c" and place["variant"] == "exact"
    }
    taught = set()
    for song, lick, first, end in material.lick_places.tolist():
        if lick == 0:
            measures = material.measures[material.parts_of(song)][first:end]
            taught.add((material.titles[song], int(measures[0]), int(measures[-1])))
    assert exact
    assert exact <= taught
