"""How much of the songbook's songs is known through the licks that were planted in them."""

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.teaching.catalogue_material import MaterialGatherer
from melodex.index.store import open_catalogue
from melodex.lessons.knowledge import knowledge_of, share_known
from melodex.model.results.known import Skill
from tests.songbook import PLAIN_PLACES, SONGBOOK, TERMS

# Worked out by hand from truth.toml: the time of the measures that hold a lick of the known song,
# and of all; in quarter notes. A song in 4/4 with a pickup of one has 63.
BY_HAND = [
    # known, song, its planted measures, quarter notes of them, of the song
    ("Otter under the Bridge", "The Barley Loft", "1-2, 5-6, 13-14", 24, 64),
    ("Weir in Spate", "Market Day at Wendmere", "7-8, 15-16, a quarter short", 15, 63),
    ("Letter from the Lock-Keeper", "Snow on the Signal Box", "5-7, 13-15", 24, 63),
    ("Three Coats Warm", "Apples on the Sill", "9-11", 12, 64),
    ("Cinder Path", "Eel Trap Breakdown", "9-10, 13-14, held", 16, 63),
    ("Apples on the Sill", "Three Coats Warm", "1-3, 13-15", 24, 64),
]
AS_THEY_ARE = ("exact", "transposed")


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory):
    path = tmp_path_factory.mktemp("songbook") / "songs.db"
    with open_catalogue(path, create=True) as opened:
        add_songs(opened, [SONGBOOK / book for book in TERMS])
        yield opened


@pytest.fixture(scope="module")
def material(catalogue):
    return MaterialGatherer(catalogue).gather(catalogue.song_ids())


def learned(material, title):
    song = material.songs[material.titles.index(title)]
    return knowledge_of(Skill("", frozenset({song})), material)


def test_songs_compared_in_pairs_teach_what_each_teaches_alone(catalogue, material):
    ids = material.songs
    one_by_one = MaterialGatherer(catalogue).gather(ids, sources=ids)
    rows, each = ({*map(tuple, part.passages.tolist())} for part in (material, one_by_one))
    assert rows == each


@pytest.mark.parametrize(("known", "song", "measures", "planted", "whole"), BY_HAND)
def test_the_planted_licks_of_a_song_are_what_is_known_of_it(
    material, known, song, measures, planted, whole
):
    share = share_known(material, material.titles.index(song), learned(material, known))
    assert share == pytest.approx(planted / whole, abs=0.02), measures


def test_a_lick_planted_as_it_is_in_two_songs_is_known_in_one_through_the_other(material):
    places = [place for place in PLAIN_PLACES if place["variant"] in AS_THEY_ARE]
    shares = []
    for source in places:
        known = learned(material, source["song"])
        for place in places:
            if place["lick"] == source["lick"] and place["song"] != source["song"]:
                parts = material.parts_of(material.titles.index(place["song"]))
                measures, durations = material.measures[parts], material.durations[parts]
                of_lick = (measures >= place["first_measure"]) & (measures <= place["last_measure"])
                time = durations[of_lick & known[parts]].sum()
                shares.append(time / durations[of_lick].sum())
    assert len(shares) > 80
    assert min(shares) > 0.7  # a lick may end before the last of its measures does
