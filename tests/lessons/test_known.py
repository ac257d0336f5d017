"""What of a song is known, and which song comes next."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.lessons.known import known_of_song, new_measures, share_known
from melodex.lessons.next_song import closest_songs
from melodex.lessons.taught import (
    NOTHING,
    Knowledge,
    knowledge_of,
    known_to_all,
    repertoire_of,
)
from melodex.model.known import KnownFrom, Skill
from melodex.model.material import Material
from tests.lessons.materials import material_of, materials

BOOK = material_of(
    {"gate": ["fill", "walk"], "mill": ["fill", "run"], "weir": ["run"], "yard": []},
    singles=[2, 0, 1, 3],
    lengths={"fill": 2, "run": 2},
)
REPERTOIRE = repertoire_of(BOOK)
GATE, MILL, WEIR, YARD = range(4)


def knows(*songs, licks=()):
    return knowledge_of(Skill("", frozenset(songs), frozenset(licks)), REPERTOIRE)


def test_a_known_song_teaches_its_licks_and_says_where_they_stand():
    known = known_of_song(REPERTOIRE, MILL, [("Ann", knows("gate"))])
    assert known.share == 0.5
    assert [measure.known_from for measure in known.measures] == [
        (KnownFrom("gate", "fill", ((1, 2),)),),
        (KnownFrom("gate", "fill", ((1, 2),)),),
        (),
        (),
    ]


def test_a_lick_known_by_name_needs_no_song():
    known = known_of_song(REPERTOIRE, WEIR, [("Ann", knows(licks=["run"]))])
    assert known.share == pytest.approx(2 / 3, abs=1e-4)
    assert known.measures[0].known_from == (KnownFrom(None, "run", ()),)


def test_who_knows_the_song_knows_each_of_its_measures():
    known = known_of_song(REPERTOIRE, GATE, [("Ann", knows("gate"))])
    assert known.share == 1
    assert {measure.known_from for measure in known.measures} == {(KnownFrom("gate", None, ()),)}


def test_who_knows_nothing_knows_no_measure_of_any_song():
    for song in range(4):
        assert share_known(REPERTOIRE, song, NOTHING) == 0


def test_a_class_knows_what_each_of_it_knows_and_is_told_what_each_lacks():
    together = [("Ann", knows("gate", "weir")), ("Ben", knows("weir"))]
    known = known_of_song(REPERTOIRE, MILL, together)
    assert known.share == 0.5
    assert [(s.student, s.share, s.new) for s in known.students] == [
        ("Ann", 1.0, ()),
        ("Ben", 0.5, ((1, 2),)),
    ]


def test_a_lick_that_two_students_have_from_different_songs_is_known_to_both():
    together = known_to_all([knows("gate"), knows("mill")])
    assert together == Knowledge(frozenset(), frozenset({BOOK.licks.index("fill")}))


def test_a_measure_that_repeats_a_measure_of_a_known_lick_is_known():
    material = Material(
        songs=("gate",),
        titles=("Gate",),
        levels=(None,),
        licks=("fill",),
        lick_measures=np.array([1], np.int32),
        places=np.array([[0, 0, 2, 2]], np.int32),
        measures=np.array([[0, 1, 1], [0, 2, 2], [0, 3, 2]], np.int32),
    )
    assert new_measures(repertoire_of(material), 0, Knowledge(licks=frozenset({0}))) == [1]


def test_a_song_without_measures_has_no_share():
    assert share_known(repertoire_of(material_of({"gate": []})), 0, NOTHING) is None


def test_the_closest_song_comes_first_with_its_new_licks_and_what_it_opens():
    found = closest_songs(REPERTOIRE, knows("gate"))
    assert [(near.song, near.share, near.new) for near in found] == [
        ("mill", 0.5, 2),
        ("weir", 0.0, 3),
        ("yard", 0.0, 3),
    ]
    assert (found[0].new_licks, found[0].opens_the_way_to) == (("run",), ("weir",))
    assert (found[2].new_licks, found[2].opens_the_way_to) == ((), ())


def test_who_knows_every_song_has_none_next():
    assert closest_songs(REPERTOIRE, knows("gate", "mill", "weir", "yard")) == []


@given(data=st.data(), material=materials())
def test_learning_more_never_makes_less_of_a_song_known(data, material):
    repertoire = repertoire_of(material)
    songs = st.frozensets(st.sampled_from(material.songs))
    some = data.draw(songs)
    less = knowledge_of(Skill("", some, frozenset()), repertoire)
    more = knowledge_of(Skill("", some | data.draw(songs), frozenset()), repertoire)
    for song in range(len(material.songs)):
        assert set(new_measures(repertoire, song, more)) <= set(
            new_measures(repertoire, song, less)
        )


@given(data=st.data(), material=materials())
def test_a_song_opens_the_way_to_just_those_of_which_it_makes_more_known(data, material):
    repertoire = repertoire_of(material)
    known = knowledge_of(
        Skill("", data.draw(st.frozensets(st.sampled_from(material.songs))), frozenset()),
        repertoire,
    )
    for near in closest_songs(repertoire, known):
        learned = material.songs.index(near.song)
        after = Knowledge(known.songs, known.licks | set(repertoire.taught[learned].places))
        gains = {
            song: len(new_measures(repertoire, song, known))
            - len(new_measures(repertoire, song, after))
            for song in range(len(material.songs))
            if song != learned and song not in known.songs
        }
        gained = sorted((-gain, material.songs[song]) for song, gain in gains.items() if gain)
        assert list(near.opens_the_way_to) == [name for _, name in gained[:5]]
