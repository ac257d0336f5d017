"""The command `find --shape`: songs that follow a remembered contour."""

import json

import pytest

KEYS = [
    "song", "title", "first_measure", "last_measure", "measures", "transposition", "score", "cost",
    "expected_by_chance", "form", "alignment", "places",
]  # fmt: skip
# How D4 E4 G4 A4 B4 moves, which two of the three songs begin with.
SHAPE = "step up, leap up, step up, step up"


@pytest.mark.usefixtures("catalogue")
def test_the_songs_that_follow_every_move_come_first(run):
    rows = json.loads(run("find", "--shape", SHAPE, "--json").out)
    assert [row["song"] for row in rows[:2]] == ["harbour-lights-ahead", "the-weir-at-dusk"]
    assert [row["score"] for row in rows[:2]] == [1.0, 1.0]
    assert rows[2]["score"] < 1


@pytest.mark.usefixtures("catalogue")
def test_a_row_has_the_keys_of_find_and_null_for_what_a_shape_does_not_say(run):
    row = json.loads(run("find", "--shape", SHAPE, "--json").out)[1]
    assert list(row) == KEYS
    assert (row["transposition"], row["cost"], row["form"]) == (None, None, "shape")
    assert row["alignment"] == [[0, 0], [1, 1], [2, 2], [3, 3], [4, 4]]
    assert 0 < row["expected_by_chance"] <= 3


@pytest.mark.usefixtures("catalogue")
def test_people_see_the_notes_that_follow_the_shape(run):
    assert "D4 E4 G4 A4 B4" in run("find", "--shape", SHAPE).out


@pytest.mark.usefixtures("catalogue")
def test_a_move_that_does_not_exist_is_a_mistake_on_the_command_line(run):
    outcome = run("find", "--shape", "step up, sideways")
    assert outcome.code == 2
    assert "Move 2 of the shape, 'sideways', is not a move." in outcome.err


@pytest.mark.usefixtures("catalogue")
def test_a_shape_and_a_lick_are_not_given_together(run):
    outcome = run("find", "--shape", SHAPE, "--notes", "D4 E4 G4")
    assert outcome.code == 2
    assert "several ways" in outcome.err


@pytest.mark.usefixtures("catalogue")
def test_every_place_is_listed_where_all_are_wanted(run):
    rows = json.loads(run("find", "--shape", "up", "--all-places", "--json").out)
    first = [row for row in rows if row["song"] == rows[0]["song"]]
    assert len(first) == first[0]["places"] > 1
