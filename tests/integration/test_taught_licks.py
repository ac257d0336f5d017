"""What songs teach: from recurring and kept licks to the material of lesson plans."""

import pytest

from melodex.finder.add_songs import add_songs
from melodex.finder.kept_licks import keep_lick
from melodex.finder.material import taught_material
from melodex.finder.recurring_licks import recurring_licks
from melodex.finder.taught_licks import recurring_places
from melodex.index.store import open_catalogue
from melodex.search.query import lick_from_abc
from tests.songbook import PLAIN_PLACES, SONGBOOK, TERMS, TRUTH


@pytest.fixture
def catalogue(tmp_path):
    with open_catalogue(tmp_path / "songs.db", create=True) as opened:
        add_songs(opened, [SONGBOOK / book for book in TERMS])
        yield opened


def test_every_recurring_lick_is_material_at_each_of_its_places(catalogue):
    names, lengths, places = recurring_places(catalogue, catalogue.song_ids())
    listed = {lick.name: lick for lick in recurring_licks(catalogue, limit=500)}
    assert set(names) == set(listed)
    assert [listed[name].measures for name in names] == lengths.tolist()
    songs = catalogue.song_ids()
    for name, lick in listed.items():
        in_songs = {songs[row[0]] for row in places.tolist() if names[row[1]] == name}
        assert in_songs == {place.song for place in lick.occurrences}


def test_a_kept_lick_is_material_under_its_own_name_and_not_twice(catalogue):
    (abc,) = (row["abc"] for row in TRUTH["lick"] if row["id"] == "three-bar-c")
    before, _, _ = recurring_places(catalogue, catalogue.song_ids())
    keep_lick(catalogue, "C lick", lick_from_abc(abc))
    material = taught_material(catalogue, catalogue.song_ids())
    assert material.licks[0] == "C lick"
    assert len(material.licks) <= len(before) + 1
    exact = {
        (place["song"], place["first_measure"], place["last_measure"])
        for place in PLAIN_PLACES
        if place["lick"] == "three-bar-c" and place["variant"] == "exact"
    }
    taught = {
        (material.titles[song], first, last)
        for song, lick, first, last in material.places.tolist()
        if lick == 0
    }
    assert exact
    assert exact <= taught
