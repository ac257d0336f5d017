"""What some songs teach together, with results computed by hand."""

import numpy as np

from melodex.lessons.lick_uses import lick_uses
from melodex.lessons.overlap import overlap_of
from melodex.lessons.overview import overview_of
from tests.lessons.lettered import lettered

# A letter is a measure of four quarter notes; "gate" and "gate-2" are versions of one tune.
MATERIAL = lettered(
    {"bridge": "ABXA", "gate": "ABCD", "gate-2": "ABCE", "mill": "PQRS"},
    licks={"fall": "CD", "rise": "AB", "turn": "PQ"},
    levels=[2, 1, None, None],
    tunes=[0, 1, 1, 3],
)
ALL = overview_of(overlap_of(MATERIAL), range(4), ())


def test_songs_and_tunes_are_counted_apart():
    assert len(ALL.songs) == 4
    assert [(tune.title, tune.songs) for tune in ALL.tunes] == [
        ("Bridge", ("bridge",)), ("Gate", ("gate", "gate-2")), ("Mill", ("mill",)),
    ]  # fmt: skip


def test_for_each_song_what_the_others_teach_is_listed():
    assert {song.song: song.shared for song in ALL.songs} == {
        "bridge": 0.75, "gate": 0.75, "gate-2": 0.75, "mill": 0.0,
    }  # fmt: skip
    assert ALL.beats == 64
    assert ALL.shared == 36 / 64


def test_a_song_that_shares_nothing_is_alone():
    assert [(song.song, song.beats) for song in ALL.alone] == [("mill", 16.0)]


def test_licks_are_sorted_by_the_tunes_that_teach_them_with_their_first_place():
    assert [
        (use.lick, use.beats, use.tunes, use.songs, use.places, use.first_in)
        for use in ALL.taught_often
    ] == [("rise", 8.0, 2, 3, 3, "Gate")]
    assert {use.lick: use.first_level for use in ALL.taught_once} == {"fall": 1, "turn": None}


def test_a_part_of_the_songs_is_described_by_itself():
    some = overview_of(overlap_of(MATERIAL), [0, 3], ())
    assert some.pairs == ()
    assert [use.lick for use in some.taught_once] == ["rise", "turn"]
    assert [song.shared for song in some.songs] == [0.0, 0.0]


def test_the_matrix_has_what_each_column_teaches_of_each_row():
    wanted = np.array(
        [[0.75, 0.75, 0.75, 0], [0.5, 0.75, 0.75, 0], [0.5, 0.75, 0.75, 0], [0, 0, 0, 0]]
    )
    np.testing.assert_allclose(ALL.matrix(), wanted)


def test_a_lick_counts_a_place_each_time_it_returns():
    material = lettered({"gate": "ABXAB"}, licks={"rise": "AB"})
    (use,) = lick_uses(material, [0])
    assert (use.songs, use.places) == (1, 2)
