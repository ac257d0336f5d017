"""What is known of a song, and which song comes next, for songs whose measures are letters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.lessons.knowledge import (
    knowledge_of,
    known_to_all,
    new_time,
    share_known,
)
from melodex.lessons.known_parts import known_of_song
from melodex.lessons.next_song import closest_songs, next_song
from melodex.model.results.known import KnownFrom, NextStep, Skill
from tests.lessons.lettered import PARTS, lettered

BOOK = lettered(
    {"gate": "ABCDE", "mill": "XABYZZ", "weir": "YZ", "yard": "MNOP"},
    licks={"fill": "AB", "run": "YZ"},
)
GATE, MILL, WEIR, YARD = range(4)
words = st.text("ABCDE", min_size=1, max_size=6)
books = st.lists(words, min_size=1, max_size=5).map(
    lambda book: lettered({f"song-{number}": word for number, word in enumerate(book)})
)


def knows(*songs, licks=()):
    return Skill("", frozenset(songs), frozenset(licks))


def shares(*skills):
    known = known_to_all([knowledge_of(skill, BOOK) for skill in skills], BOOK)
    return [share_known(BOOK, song, known) for song in range(4)]


def test_a_known_song_teaches_the_passages_like_its_own_and_says_where_they_stand():
    known = known_of_song(BOOK, MILL, [knows("gate")])
    assert known.share == pytest.approx(2 / 6, abs=1e-4)
    of_gate = (KnownFrom("gate", "fill", ((1, 2),)),)
    assert [measure.known_from for measure in known.measures] == [(), of_gate, of_gate, (), (), ()]
    assert [measure.known_beats for measure in known.measures] == [0, 4, 4, 0, 0, 0]


def test_a_lick_known_by_name_needs_no_song():
    known = known_of_song(BOOK, WEIR, [knows(licks=["run"])])
    assert known.share == 1
    assert known.measures[0].known_from == (KnownFrom(None, "run", ()),)


def test_a_measure_that_equals_a_known_one_is_known():
    assert shares(knows(licks=["run"]))[MILL] == pytest.approx(3 / 6, abs=1e-4)


def test_who_knows_the_song_knows_each_of_its_measures():
    known = known_of_song(BOOK, GATE, [knows("gate")])
    assert known.share == 1
    assert {measure.known_from for measure in known.measures} == {(KnownFrom("gate", None, ()),)}


def test_of_a_song_learned_up_to_a_measure_the_same_part_of_a_passage_is_known():
    begun = Skill("", beginnings=(("gate", 1),))
    known = known_of_song(BOOK, MILL, [begun])
    assert [measure.known_beats for measure in known.measures] == [0, 4, 0, 0, 0, 0]
    assert shares(begun)[GATE] == pytest.approx(1 / 5)


def test_who_knows_nothing_knows_no_measure_of_any_song():
    assert shares(knows()) == [0, 0, 0, 0]


def test_a_class_knows_what_all_of_it_know_and_the_gaps_of_each_are_listed():
    known = known_of_song(BOOK, MILL, [knows("gate", "weir"), knows("weir")])
    assert known.share == pytest.approx(3 / 6, abs=1e-4)
    assert [s.share for s in known.students] == pytest.approx([5 / 6, 3 / 6], abs=1e-4)
    assert [s.new for s in known.students] == [((1, 1),), ((1, 3),)]


def test_what_two_students_have_from_different_songs_is_known_to_both():
    assert shares(knows("gate"), knows("mill"))[GATE] == pytest.approx(2 / 5)


def test_a_song_without_notes_has_no_share():
    silent = lettered({"gate": "", "mill": "A"})
    assert share_known(silent, 0, knowledge_of(knows("mill"), silent)) is None


def test_what_a_song_repeats_is_learned_once():
    assert new_time(BOOK, MILL, knowledge_of(knows(), BOOK)) == 5 * PARTS


def test_the_closest_song_comes_first_with_its_next_step_and_what_it_opens():
    known = knowledge_of(knows("gate"), BOOK)
    closest = closest_songs(BOOK, known, among=range(4), limit=None)
    assert closest == [MILL, WEIR, YARD]
    taught = BOOK.passages[BOOK.passages[:, 3] == MILL]
    found = next_song(BOOK, MILL, known, [("run", range(3 * PARTS, 5 * PARTS))], taught)
    assert (found.new, found.new_licks, found.opens_the_way_to) == (3 * PARTS, ("run",), ("weir",))
    # Measure 5 equals measure 6, so learning one measure makes four of six known.
    assert found.step == NextStep((5, 5), 0.6667)


def test_who_knows_every_song_has_none_next():
    everything = knowledge_of(knows("gate", "mill", "weir", "yard"), BOOK)
    assert closest_songs(BOOK, everything, among=range(4), limit=None) == []


@given(data=st.data(), book=books)
def test_learning_more_never_makes_less_of_a_song_known(data, book):
    songs = st.frozensets(st.sampled_from(book.songs))
    some = data.draw(songs)
    less = knowledge_of(Skill("", some), book)
    more = knowledge_of(Skill("", some | data.draw(songs)), book)
    assert not (less & ~more).any()


@given(data=st.data(), book=books)
def test_every_known_part_has_a_reason(data, book):
    skill = Skill("", data.draw(st.frozensets(st.sampled_from(book.songs))))
    song = data.draw(st.integers(0, len(book.songs) - 1))
    for measure in known_of_song(book, song, [skill]).measures:
        assert bool(measure.known_from) == bool(measure.known)


@given(data=st.data(), book=st.lists(words, min_size=1, max_size=5))
def test_known_measures_are_those_that_a_learned_song_has(data, book):
    songs = {f"song-{number}": word for number, word in enumerate(book)}
    learned = data.draw(st.frozensets(st.sampled_from(sorted(songs))))
    letters = set("".join(songs[song] for song in learned))
    known = knowledge_of(Skill("", learned), lettered(songs))
    wanted = [letter in letters for word in book for letter in word for _ in range(PARTS)]
    assert known.tolist() == wanted
