"""The commands `lessons`, `known` and `next`."""

import csv
import io
import json

import numpy as np
import pytest

from melodex.finder import material, plan_lessons

DUSK, HARBOUR, DAWN = "the-weir-at-dusk", "harbour-lights-ahead", "the-weir-at-dawn"
LICKS = {"rise": {DUSK: (1, 1), HARBOUR: (1, 1)}, "fall": {HARBOUR: (2, 2), DAWN: (2, 2)}}


def two_licks(_, songs):
    """Place two licks in the songs of the book, each a measure long."""
    places = [
        (songs.index(song), lick, *span)
        for lick, spans in enumerate(LICKS.values())
        for song, span in spans.items()
        if song in songs
    ]
    return tuple(LICKS), np.ones(2, np.int32), np.array(places, np.int32).reshape(-1, 4)


@pytest.fixture(autouse=True)
def licks(monkeypatch, catalogue):
    """Let the catalogue's songs share two licks."""
    assert catalogue.exists()
    monkeypatch.setattr(material, "recurring_places", two_licks)


@pytest.fixture
def student(tmp_path):
    path = tmp_path / "ann.csv"
    path.write_text("song\nThe Weir at Dusk\n", encoding="utf-8")
    return path


def planned(outcome):
    return [lesson["song"] for lesson in json.loads(outcome.out)["lessons"]]


def test_lessons_have_the_keys_of_the_interface_and_are_proved(run):
    plan = json.loads(run("lessons", "--json").out)
    assert list(plan["lessons"][0]) == [
        "lesson", "song", "title", "level", "reused", "reused_from_last", "new", "because",
    ]  # fmt: skip
    assert [list(stage) for stage in plan["stages"]] == [["aim", "value", "bound"]] * 3
    assert plan["optimal"] is True
    assert planned(run("lessons", "--json")) == [DUSK, HARBOUR, DAWN]


def test_people_are_told_why_and_how_good_the_plan_is(run):
    shown = run("lessons").out
    assert "rise in measure 1 comes back from lesson 1 (The Weir at Dusk, measure 1)" in shown
    assert "measures 1, 3 are new and belong to no lick" in shown
    assert "smallest peak of new material in a lesson: 2, optimal" in shown


def test_csv_has_a_line_a_lesson_with_its_reasons(run):
    rows = list(csv.DictReader(io.StringIO(run("lessons", "--csv").out)))
    assert [row["song"] for row in rows] == [DUSK, HARBOUR, DAWN]
    assert "fall in measure 2 is new" in rows[1]["because"]


def test_limits_hold_and_songs_may_be_named_by_parts_of_titles(run):
    assert planned(run("lessons", "--first", "dawn", "--json"))[0] == DAWN
    assert planned(run("lessons", "--before", "harbour:dusk", "--last", "dusk", "--json")) == [
        HARBOUR, DAWN, DUSK,
    ]  # fmt: skip
    assert DAWN in planned(run("lessons", "--lessons", "2", "--must", "dawn", "--json"))


def test_limits_that_conflict_exit_1_and_are_named(run):
    stopped = run("lessons", "--before", "dusk:dawn", "--before", "dawn:dusk")
    assert stopped.code == 1
    assert f"{DUSK} comes before {DAWN}; {DAWN} comes before {DUSK}" in stopped.err


def test_a_plan_is_written_edited_judged_and_made_again(run, tmp_path):
    path = tmp_path / "plan.toml"
    run("lessons", "--write", path)
    assert planned(run("lessons", "--plan", path, "--json")) == [DUSK, HARBOUR, DAWN]
    text = path.read_text(encoding="utf-8").replace("[limits]", f'[limits]\nfirst = "{DAWN}"')
    path.write_text(text, encoding="utf-8")
    judged = run("lessons", "--plan", path)
    assert f"Broken: {DAWN} comes first." in judged.out
    assert planned(run("lessons", "--plan", path, "--again", "--json"))[0] == DAWN


@pytest.mark.parametrize(
    "arguments",
    [
        ["--again"],
        ["--plan", "plan.toml", "--most-new", "3"],
        ["--plan", "plan.toml", "--collection", "songbook"],
        ["--before", "dusk"],
        ["--json", "--csv"],
    ],
)
def test_options_that_do_not_go_together_exit_2_with_a_sentence(run, arguments):
    stopped = run("lessons", *arguments)
    assert stopped.code == 2
    assert "Next:" in stopped.err


def test_a_students_songs_are_left_out_and_make_less_new(run, student):
    plan = json.loads(run("lessons", "--student", student, "--json").out)
    assert [lesson["song"] for lesson in plan["lessons"]] == [HARBOUR, DAWN]
    assert plan["lessons"][0]["because"][0]["state"] == "known"


def test_who_knows_every_song_is_told_that_there_is_none_to_plan(run, student):
    student.write_text(f"song\n{DUSK}\n{HARBOUR}\n{DAWN}\n", encoding="utf-8")
    outcome = run("lessons", "--student", student)
    assert outcome.code == 0
    assert "No song is left to plan" in outcome.err
    assert "knows all of these songs already" in run("next", "--student", student).err


def test_known_tells_share_and_measures_and_from_where(run, student):
    known = json.loads(run("known", "harbour", "--student", student, "--json").out)
    assert (known["song"], known["share"]) == (HARBOUR, 0.5)
    assert known["measures"] == [
        {"measure": 1, "known_from": [{"song": DUSK, "lick": "rise", "measures": [[1, 1]]}]},
        {"measure": 2, "known_from": []},
    ]
    shown = run("known", "harbour", "--student", student).out
    assert "Harbour Lights Ahead: 50 % of its measures can be played already." in shown


def test_a_class_is_told_what_each_student_lacks(run, student):
    student.write_text("student,song,lick\nAnn,dusk,\nBen,,fall\nBen,dusk,\n", encoding="utf-8")
    shown = run("known", "harbour", "--student", student).out
    assert "50 % of its measures can be played already by all" in shown
    assert "Ann: 50 %; lacks measure 2" in shown
    assert "Ben: 100 %; lacks nothing" in shown


def test_next_songs_have_the_keys_of_the_interface(run, student):
    rows = json.loads(run("next", "--student", student, "--json").out)
    assert rows[0] == {
        "song": HARBOUR,
        "title": "Harbour Lights Ahead",
        "share": 0.5,
        "new": 1,
        "new_licks": ["fall"],
        "opens_the_way_to": [DAWN],
    }
    assert "opens the way" in run("next", "--student", student).out


def test_next_songs_may_be_limited_and_filtered(run, student):
    assert len(json.loads(run("next", "--student", student, "--limit", "1", "--json").out)) == 1
    rows = json.loads(run("next", "--student", student, "--metre", "3/4", "--json").out)
    assert [row["song"] for row in rows] == [DAWN]


def test_a_wrong_student_file_exits_1_with_its_line(run, student):
    student.write_text("song\nNo Such Tune\n", encoding="utf-8")
    for command in (["known", "dawn"], ["next"], ["lessons"]):
        stopped = run(*command, "--student", student)
        assert stopped.code == 1
        assert "line 2: no song is called 'No Such Tune'" in stopped.err


def test_csv_of_known_measures_says_from_where(run, student):
    rows = list(
        csv.DictReader(io.StringIO(run("known", "harbour", "--student", student, "--csv").out))
    )
    assert [row["known_from"] for row in rows] == [f"rise in {DUSK}, measure 1", "new"]


def test_more_songs_than_anybody_teaches_need_a_selection(run, monkeypatch):
    monkeypatch.setattr(plan_lessons, "MOST_SONGS", 2)
    stopped = run("lessons")
    assert stopped.code == 1
    assert "choose 2 or fewer by collection" in stopped.err
    assert planned(run("lessons", "--metre", "3/4", "--json")) == [DAWN]


def test_levels_that_nobody_has_described_cannot_be_limited(run):
    stopped = run("lessons", "--level-step", "1")
    assert stopped.code == 1
    assert "the level of 3 songs is unknown" in stopped.err
    assert "unknown" in run("lessons").out  # and not 0
