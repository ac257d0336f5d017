"""The command `lessons`."""

import csv
import io
import json

import pytest

from melodex.finder.teaching import plan_lessons

BOOK = """X:1
T:Gate Street
M:4/4
L:1/8
K:G
DEGA BAGE|d2Bd gfed|

X:2
T:Mill Lane
M:4/4
L:1/8
K:G
DEGA BAGE|cAFA c4|B,DGB D4|

X:3
T:Mill Lane, as at the Weir
M:4/4
L:1/8
K:A
EFAB cBAF|dBGB d4|CEAc E4|

X:4
T:The Yard
M:3/4
L:1/4
K:D
ABd|fdB|FED|
"""
GATE, MILL, WEIR, YARD = "gate-street", "mill-lane", "mill-lane-as-at-the-weir", "the-yard"


@pytest.fixture(autouse=True)
def catalogue(tmp_path, monkeypatch, run):
    """A catalogue of four songs, two of them one tune."""
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    book = tmp_path / "lanes.abc"
    book.write_text(BOOK, encoding="utf-8")
    assert run("add", book).code == 0


@pytest.fixture
def student(tmp_path):
    path = tmp_path / "ann.csv"
    path.write_text("song\nGate Street\n", encoding="utf-8")
    return path


def planned(outcome):
    return [lesson["song"] for lesson in json.loads(outcome.out)["lessons"]]


def test_lessons_have_the_keys_of_the_interface_and_are_proved(run):
    plan = json.loads(run("lessons", "--json").out)
    assert list(plan["lessons"][0]) == [
        "lesson", "song", "title", "level", "share", "share_from_last", "reused", "new", "because",
        "date", "suggested_level",
    ]  # fmt: skip
    assert [list(stage) for stage in plan["stages"]] == [["aim", "value", "bound"]] * 3
    assert plan["optimal"] is True


def test_people_see_the_reasons_and_how_good_the_plan_is(run):
    shown = run("lessons", "--first", "gate", "--before", f"{MILL}:{WEIR}").out
    assert "measure 1 comes back from lesson 1 (Gate Street, measure 1)" in shown
    assert "measures 2-3 are new" in shown
    # Mill Lane has one measure of three from Gate Street, and is the third song note for note.
    assert (
        "On average 33 % of each song is known already; no plan can reach more than 33 %." in shown
    )


def test_csv_has_a_line_a_lesson_with_its_reasons(run):
    rows = list(csv.DictReader(io.StringIO(run("lessons", "--first", "gate", "--csv").out)))
    assert rows[0]["song"] == GATE
    assert rows[0]["because"] == "measures 1-2 are new"


def test_of_two_versions_of_a_tune_one_is_chosen(run):
    chosen = planned(run("lessons", "--lessons", "3", "--json"))
    assert len({MILL, WEIR} & set(chosen)) == 1
    assert planned(run("lessons", "--lessons", "2", "--not", "gate", "--not", MILL, "--json")) == [
        WEIR, YARD,
    ]  # fmt: skip


def test_limits_hold_and_songs_may_be_named_by_parts_of_titles(run):
    assert planned(run("lessons", "--first", "yard", "--json"))[0] == YARD
    assert planned(run("lessons", "--last", "gate", "--json"))[-1] == GATE
    assert YARD in planned(run("lessons", "--lessons", "2", "--must", "yard", "--json"))


def test_new_material_may_be_limited_in_quarter_notes(run):
    plan = json.loads(run("lessons", "--lessons", "2", "--new-at-most", "8.5", "--json").out)
    assert [lesson["new"] for lesson in plan["lessons"]] == [8, 8]


def test_a_review_comes_every_so_often(run):
    plan = json.loads(run("lessons", "--review-every", "3", "--json").out)
    assert [lesson["lesson"] for lesson in plan["lessons"]] == [1, 2, 4, 5]
    assert [review["lesson"] for review in plan["reviews"]] == [3, 6]
    assert "3. Review: " in run("lessons", "--review-every", "3").out


def test_lessons_have_dates_that_a_plan_keeps(run, tmp_path):
    path = tmp_path / "plan.toml"
    dates = ["--first-date", "2027-01-11", "--skip", "2027-01-20"]
    shown = run("lessons", *dates, "--write", path).out
    assert "2027-01-25" in shown
    assert "Monday 11 January 2027" in shown
    again = json.loads(run("lessons", "--plan", path, "--json").out)
    days = ["2027-01-11", "2027-01-25", "2027-02-01", "2027-02-08"]
    assert [lesson["date"] for lesson in again["lessons"]] == days
    assert again["limits"]["skip"] == ["2027-01-20"]


def test_songs_of_two_tags_come_in_turn(run, tmp_path):
    described = tmp_path / "tags.csv"
    lines = [f"{GATE},rain", f"{MILL},rain", f"{WEIR},sun", f"{YARD},sun"]
    described.write_text("\n".join(["song,theme", *lines]), encoding="utf-8")
    run("describe", described)
    rain = {GATE, MILL}
    order = planned(run("lessons", "--in-turn", "Rain", "--in-turn", "sun", "--json"))
    assert [song in rain for song in order] == [True, False, True, False]


def test_limits_that_conflict_exit_1_and_are_named(run):
    stopped = run("lessons", "--before", f"gate:{MILL}", "--before", f"{MILL}:gate")
    assert stopped.code == 1
    assert f"{GATE} comes before {MILL}; {MILL} comes before {GATE}" in stopped.err


def test_a_song_that_must_and_must_not_come_is_a_mistake(run):
    stopped = run("lessons", "--must", "gate", "--not", "gate")
    assert stopped.code == 2
    assert "'gate' must come and must not come" in stopped.err


def test_a_plan_is_written_edited_evaluated_and_reordered(run, tmp_path):
    path = tmp_path / "plan.toml"
    order = planned(run("lessons", "--write", path, "--json"))
    assert planned(run("lessons", "--plan", path, "--json")) == order
    text = path.read_text(encoding="utf-8").replace("[limits]", f'[limits]\nfirst = "{order[-1]}"')
    path.write_text(text, encoding="utf-8")
    judged = run("lessons", "--plan", path)
    assert f"Broken: {order[-1]} comes first." in judged.out
    assert planned(run("lessons", "--plan", path, "--again", "--json"))[0] == order[-1]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--again"],
        ["--plan", "plan.toml", "--new-at-most", "3"],
        ["--plan", "plan.toml", "--collection", "songbook"],
        ["--before", "gate"],
        ["--first-date", "soon"],
        ["--skip", "2027-01-20"],
        ["--json", "--csv"],
    ],
)
def test_options_that_do_not_go_together_exit_2_with_a_sentence(run, arguments):
    stopped = run("lessons", *arguments)
    assert stopped.code == 2
    assert "Next:" in stopped.err


def test_a_students_songs_are_left_out_and_make_less_new(run, student):
    plan = json.loads(run("lessons", "--student", student, "--first", MILL, "--json").out)
    assert {lesson["song"] for lesson in plan["lessons"]} == {MILL, WEIR, YARD}
    first = plan["lessons"][0]
    assert (first["reused"], first["new"]) == (4, 8)
    assert first["because"][0]["state"] == "known"


def test_a_student_who_knows_every_song_has_none_to_plan(run, student):
    student.write_text(f"song\n{GATE}\n{MILL}\n{YARD}\n", encoding="utf-8")
    outcome = run("lessons", "--student", student)
    assert outcome.code == 0
    assert "No song is left to plan" in outcome.err


def test_a_wrong_student_file_exits_1_with_its_line(run, student):
    student.write_text("song\nNo Such Tune\n", encoding="utf-8")
    stopped = run("lessons", "--student", student)
    assert stopped.code == 1
    assert "line 2: no song is called 'No Such Tune'" in stopped.err


def test_too_many_songs_for_a_plan_need_a_filter(run, monkeypatch):
    monkeypatch.setattr(plan_lessons, "MOST_SONGS", 2)
    stopped = run("lessons")
    assert stopped.code == 1
    assert "choose 2 or fewer by collection" in stopped.err
    assert planned(run("lessons", "--metre", "3/4", "--json")) == [YARD]


def test_levels_that_nobody_has_described_are_estimated(run):
    limited = run("lessons", "--level-step", "3")
    assert limited.code == 0
    assert "(estimated)" in limited.out
