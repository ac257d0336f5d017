"""What songs teach each other, worked out by hand and against what a student knows."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.lessons.knowledge import knowledge_of, share_known
from melodex.lessons.overlap import covered_songs, overlap_of, shared_pairs
from melodex.model.results.known import Skill
from tests.lessons.lettered import lettered

# A letter is a measure of four quarter notes. "bridge" has AB of "gate", and A again at its end.
SHELF = {"bridge": "ABXA", "gate": "ABCD", "mill": "PQRS"}
WORDS = st.lists(st.text("ABCDE", min_size=1, max_size=6), min_size=1, max_size=4)


def named(words):
    return {f"song-{number}": word for number, word in enumerate(words)}


def test_two_songs_share_the_time_of_the_passages_that_both_have():
    (pair,) = shared_pairs(overlap_of(lettered(SHELF)), [(0, 1), (0, 2), (1, 2)])
    assert (pair.song_a, pair.song_b) == ("bridge", "gate")
    assert (pair.beats_a, pair.share_a, pair.measures_a) == (12.0, 0.75, ((1, 2), (4, 4)))
    assert (pair.beats_b, pair.share_b, pair.measures_b) == (8.0, 0.5, ((1, 2),))
    assert not pair.same_tune


def test_a_pair_names_the_licks_that_both_songs_have():
    material = lettered(SHELF, licks={"rise": "AB", "fall": "CD"})
    (pair,) = shared_pairs(overlap_of(material), [(0, 1)])
    assert pair.licks == ("rise",)


def test_the_pairs_that_share_most_come_first():
    overlap = overlap_of(lettered({"a": "ABCD", "b": "AXYZ", "c": "ABCE"}))
    pairs = shared_pairs(overlap, [(0, 1), (0, 2), (1, 2)])
    assert [(pair.song_a, pair.song_b) for pair in pairs] == [("a", "c"), ("a", "b"), ("b", "c")]


def test_a_song_is_covered_where_any_of_the_others_teaches_it_the_least_covered_first():
    overlap = overlap_of(lettered({"a": "ABCD", "b": "AX", "c": "YD", "d": "PQ"}))
    covered = covered_songs(overlap, [0, 3], [1, 2])
    assert [(song.song, song.share, song.covered, song.beats) for song in covered] == [
        ("d", 0.0, 0.0, 8.0), ("a", 0.5, 8.0, 16.0),
    ]  # fmt: skip


def test_no_other_song_covers_nothing_of_a_song():
    (covered,) = covered_songs(overlap_of(lettered({"a": "AB"})), [0], [])
    assert covered.share == 0.0


@given(WORDS, st.data())
def test_what_songs_teach_together_is_what_a_student_knows_who_learned_them(words, data):
    material = lettered(named(words))
    overlap = overlap_of(material)
    learned = data.draw(st.sets(st.integers(0, len(words) - 1)))
    student = Skill("", frozenset(material.songs[song] for song in learned))
    known = knowledge_of(student, material)
    np.testing.assert_array_equal(overlap.taught_by(learned), known)
    covered = {song.song: song.share for song in covered_songs(overlap, range(len(words)), learned)}
    shares = [share_known(material, song, known) for song in range(len(words))]
    assert list(map(covered.get, material.songs)) == shares


@given(WORDS)
def test_a_song_teaches_all_of_itself(words):
    overlap = overlap_of(lettered(named(words)))
    np.testing.assert_allclose(np.diag(overlap.taught_beats), overlap.beats)
