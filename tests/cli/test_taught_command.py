"""The commands `taught` and `due`."""

import json

import pytest

BOOK = """\
X:1
T:Gate Street
M:4/4
L:1/8
K:G
DEGA BAGE|cAFA c4|DEGA B4|

X:2
T:Mill Lane
M:4/4
L:1/8
K:G
gfed cBAG|FAdf g4|B,DGB D4|
"""


@pytest.fixture(autouse=True)
def catalogue(tmp_path, monkeypatch, run):
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    book = tmp_path / "lanes.abc"
    book.write_text(BOOK, encoding="utf-8")
    assert run("add", book).code == 0


@pytest.fixture
def student(tmp_path):
    path = tmp_path / "ann.csv"
    path.write_bytes(b"song,remark\r\nMill Lane,\xc3\xa4 little fast\r\n")
    return path


def test_what_was_taught_is_added_to_the_file_and_known_from_then_on(run, student):
    before = student.read_bytes()
    assert run("taught", "gate-street", "--student", student, "--date", "2027-01-11").code == 0
    assert student.read_bytes() == before + b"taught 2027-01-11: Gate Street\r\n"
    assert json.loads(run("known", "Gate Street", "--student", student, "--json").out)["share"] == 1


def test_what_was_taught_is_due_later(run, student):
    run("taught", "Gate Street", "--student", student, "--date", "2027-01-11")
    asked = ["due", "--student", student, "--json", "--date"]
    assert json.loads(run(*asked, "2027-01-15").out) == []
    (due,) = json.loads(run(*asked, "2027-01-16").out)
    assert due == {
        "student": "", "song": "gate-street", "lick": None, "taught": "2027-01-11", "times": 1,
        "due": "2027-01-16",
    }  # fmt: skip
    assert "Gate Street" in run("due", "--student", student, "--date", "2027-01-16").out


def test_the_list_of_next_songs_is_followed_by_what_is_due(run, student):
    run("taught", "Mill Lane", "--student", student, "--date", "2020-01-11")
    due = "Due for review: Mill Lane, taught once, last on 2020-01-11; due since 2020-01-16."
    assert due in run("next", "--student", student).out
    assert due in run("known", "Mill Lane", "--student", student).out
    assert "Due" not in run("known", "Gate Street", "--student", student).out


def test_a_lesson_of_a_plan_is_taught_on_its_own_date(run, student, tmp_path):
    plan = tmp_path / "plan.toml"
    run("lessons", "--first-date", "2027-01-11", "--first", "Mill Lane", "--write", plan)
    assert run("taught", "--plan", plan, "--lesson", "2", "--student", student).code == 0
    assert student.read_text(encoding="utf-8").endswith("taught 2027-01-18: Gate Street\n")


def test_the_same_twice_is_refused_and_the_file_stays_as_it_was(run, student):
    arguments = ["taught", "Gate Street", "--student", student, "--date", "2027-01-11"]
    run(*arguments)
    before = student.read_bytes()
    outcome = run(*arguments)
    assert outcome.code == 1
    assert "repeats line 3" in outcome.err
    assert student.read_bytes() == before
    assert [path.name for path in student.parent.glob(".*")] == []


def test_a_kept_lick_may_be_taught_up_to_a_measure_only_a_song(run, student):
    run("keep", "climb", "--abc", "DEGA B4")
    options = ["--student", student, "--date", "2027-01-11"]
    assert run("taught", "--lick", "climb", *options).code == 0
    assert "taught 2027-01-11 lick: climb\n" in student.read_text(encoding="utf-8")
    assert run("taught", "--lick", "climb", "--up-to", "3", *options).code == 2
    assert run("taught", "Gate Street", "--up-to", "2", *options).code == 0
    assert "taught 2027-01-11: Gate Street, up to measure 2\n" in student.read_text("utf-8")


def test_the_error_on_a_licks_old_name_in_a_student_file_has_the_new_one(run, student):
    run("keep", "climb", "--abc", "DEGA B4")
    run("taught", "--lick", "climb", "--student", student, "--date", "2027-01-11")
    assert run("rename", "climb", "long climb").code == 0
    outcome = run("known", "Gate Street", "--student", student)
    assert outcome.code == 1
    assert "line 3: no lick is called 'climb' (was it renamed?)" in outcome.err
    assert "'long climb'" in outcome.err


@pytest.mark.parametrize("arguments", [[], ["Gate Street", "--lick", "climb"], ["--lesson", "3"]])
def test_anything_but_exactly_one_thing_taught_is_a_usage_error(run, student, arguments):
    assert run("taught", "--student", student, *arguments).code == 2
