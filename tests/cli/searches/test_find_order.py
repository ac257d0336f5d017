"""Which rows `find` lists, and in which order."""

import json

import pytest

LICK = "L:1/8\nK:G\nDEGA BAGE"
TUNE = "M:4/4\nL:1/8\nK:{key}\nDEGA BAGE|DEGA BAGE|"


@pytest.fixture
def rows(run, tmp_path):
    """Search a book of some tunes, (title, ABC), for a lick."""

    def search(tunes, *arguments):
        path, catalogue = tmp_path / "book.abc", tmp_path / "songs.db"
        path.write_text(
            "\n\n".join(f"X:{n}\nT:{title}\n{tune}" for n, (title, tune) in enumerate(tunes, 1)),
            encoding="utf-8",
        )
        assert run("add", path, "--catalogue", catalogue).code == 0
        found = run("find", *arguments, "--catalogue", catalogue, "--json")
        return json.loads(found.out)

    return search


def test_a_song_has_one_row_for_its_first_place_or_one_for_each(rows):
    tunes = [("Alder", TUNE.format(key="G"))]
    (first,) = rows(tunes, "--abc", LICK)
    both = rows(tunes, "--abc", LICK, "--all-places")
    assert (first["measures"], first["places"]) == ([1], 2)
    assert [(row["measures"], row["places"]) for row in both] == [([1], 2), ([2], 2)]


def test_of_songs_that_match_alike_those_whose_tonic_meets_the_licks_come_first(rows):
    tunes = [(title, TUNE.format(key=key)) for title, key in (("Alder", "C"), ("Birch", "G"))]
    found = rows(tunes, "--abc", LICK)
    assert [row["song"] for row in found] == ["birch", "alder"]
    assert found[0]["score"] == found[1]["score"]


def test_songs_that_match_alike_in_every_way_come_in_the_order_of_their_ids(rows):
    tunes = [(title, TUNE.format(key="G")) for title in ("Cedar", "Alder", "Birch")]
    assert [row["song"] for row in rows(tunes, "--abc", LICK)] == ["alder", "birch", "cedar"]


def test_a_song_that_has_nothing_of_the_lick_scores_0_and_not_less(rows):
    leaps = "M:4/4\nL:1/8\nK:C\nC,8|c'8|C,8|c'8|C,8|c'8|C,8|c'8|"
    assert [row["score"] for row in rows([("Alder", leaps)], "--abc", LICK)] == [0]
