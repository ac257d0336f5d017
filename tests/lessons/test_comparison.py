"""Two groups of songs compared, with results computed by hand."""

from hypothesis import given
from hypothesis import strategies as st

from melodex.lessons.comparison import comparison_of
from melodex.lessons.overlap import overlap_of
from tests.lessons.lettered import lettered

# A letter is a measure of four quarter notes. Both groups have the tune "gate"; "bridge" of the
# first shares two measures with "mill" of the second.
SONGS = {
    "bridge": "PQXY", "gate": "ABCD", "lane": "KLMN",
    "gate-2": "ABCE", "mill": "PQRS",
}  # fmt: skip
MATERIAL = lettered(SONGS, licks={"fall": "CD", "rise": "AB", "turn": "RS"}, tunes=[0, 1, 2, 1, 4])
FIRST, SECOND = (0, 1, 2), (3, 4)
FOUND = comparison_of(overlap_of(MATERIAL), FIRST, SECOND, ("first", "second"))


def test_tunes_in_both_name_their_versions_and_how_much_each_teaches_of_the_other():
    (tune,) = FOUND.common_tunes
    assert (tune.songs_a, tune.songs_b) == (("gate",), ("gate-2",))
    assert (tune.share_a, tune.share_b) == (0.75, 0.75)


def test_tunes_of_one_group_only_are_listed_for_each():
    assert [tune.songs for tune in FOUND.tunes_only_a] == [("bridge",), ("lane",)]
    assert [tune.songs for tune in FOUND.tunes_only_b] == [("mill",)]


def test_passages_in_both_are_those_of_different_tunes():
    (pair,) = FOUND.common_passages
    assert (pair.song_a, pair.song_b) == ("bridge", "mill")
    assert (pair.measures_a, pair.measures_b) == (((1, 2),), ((1, 2),))


def test_licks_are_in_both_or_missing_in_the_other():
    assert [(use.lick, use.songs) for use in FOUND.common_licks] == [("rise", 2)]
    assert [use.lick for use in FOUND.coverage_a.missing] == ["fall"]
    assert [use.lick for use in FOUND.coverage_b.missing] == ["turn"]


def test_coverage_is_the_part_of_the_time_that_the_other_group_teaches():
    # 3 measures of "gate" and 2 of "bridge" of 12; 3 of "gate-2" and 2 of "mill" of 8.
    assert (FOUND.coverage_a.covered, FOUND.coverage_a.beats) == (20.0, 48.0)
    assert FOUND.coverage_a.share == 0.4167
    assert FOUND.coverage_b.share == 0.625


def test_a_song_in_both_groups_is_common_to_them_and_shares_no_passage_with_itself():
    found = comparison_of(overlap_of(MATERIAL), (0, 1), (1, 4), ("first", "second"))
    assert [tune.songs_a for tune in found.common_tunes] == [("gate",)]
    assert [(pair.song_a, pair.song_b) for pair in found.common_passages] == [("bridge", "mill")]


@given(st.lists(st.text("ABCDE", min_size=1, max_size=5), min_size=2, max_size=5), st.data())
def test_the_other_way_round_the_sides_change_places(words, data):
    songs = range(len(words))
    overlap = overlap_of(lettered({f"song-{n}": word for n, word in enumerate(words)}))
    sides = [data.draw(st.sets(st.sampled_from(songs), min_size=1)) for _ in range(2)]
    a, b = map(sorted, sides)
    found = comparison_of(overlap, a, b, ("a", "b"))
    turned = comparison_of(overlap, b, a, ("b", "a"))
    assert (found.coverage_a, found.coverage_b) == (turned.coverage_b, turned.coverage_a)
    assert (found.tunes_only_a, found.tunes_only_b) == (turned.tunes_only_b, turned.tunes_only_a)
    assert found.common_licks == turned.common_licks
