import pytest

from melodex.errors import SongNotFoundError
from melodex.index.song_names import song_named, suggested_names

SONGS = [
    ("mill-wheel", "Mill Wheel"),
    ("old-mill-road", "Old Mill Road"),
    ("road", "The Road"),
    ("the-road-home", "The Road Home"),
    ("waltz", "Waltz"),
    ("waltz-2", "Waltz"),
    ("walzer-fur-anna", "Walzer für Anna"),
]


@pytest.mark.parametrize(
    ("name", "song"),
    [
        ("road", "road"),  # an id, though three titles have the word
        ("OLD-Mill-Road", "old-mill-road"),
        ("the road", "road"),  # a whole title, though another begins so
        ("  Wheel ", "mill-wheel"),
        ("FÜR", "walzer-fur-anna"),
        ("fur anna", "walzer-fur-anna"),
        ("waltz-2", "waltz-2"),
    ],
)
def test_an_id_goes_before_a_title_and_a_title_before_a_part(name, song):
    assert song_named(name, SONGS) == song


def test_a_part_that_two_titles_share_lists_both_with_their_ids():
    with pytest.raises(SongNotFoundError) as caught:
        song_named("mill", SONGS)
    assert caught.value.problem == (
        "'mill' may mean any of 2 songs: mill-wheel (Mill Wheel), old-mill-road (Old Mill Road)."
    )
    assert "id" in caught.value.next_step


def test_a_whole_title_that_two_songs_have_lists_both():
    with pytest.raises(SongNotFoundError, match=r"waltz \(Waltz\), waltz-2 \(Waltz\)"):
        song_named("Waltz", SONGS)


def test_of_many_candidates_eight_are_listed_and_the_rest_counted():
    songs = [(f"reel-{number}", f"Reel {number}") for number in range(20)]
    with pytest.raises(SongNotFoundError, match=r"reel-7 \(Reel 7\) and 12 more"):
        song_named("reel", songs)


def test_a_misspelled_title_offers_the_nearest():
    with pytest.raises(SongNotFoundError, match=r"nearest: old-mill-road \(Old Mill Road\)"):
        song_named("Old Mil Raod", SONGS)


def test_a_name_like_no_other_points_to_the_list():
    with pytest.raises(SongNotFoundError) as caught:
        song_named("xyzzy", SONGS)
    assert caught.value.problem == "No song is called 'xyzzy'."
    assert "list of songs" in caught.value.next_step


@pytest.mark.parametrize(
    ("part", "names"),
    [
        ("road", ["Old Mill Road", "The Road", "The Road Home"]),
        ("the", ["The Road", "The Road Home"]),
        ("WAL", ["waltz", "waltz-2", "Walzer für Anna"]),  # two songs have one title: their ids
        ("fur", ["Walzer für Anna"]),
        ("polka", []),
        (" ", []),
    ],
)
def test_names_are_suggested_by_a_part_and_each_means_one_song(part, names):
    assert suggested_names(part, SONGS) == names
    assert all(song_named(name, SONGS) for name in names)
