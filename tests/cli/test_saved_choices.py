"""Commands that work on what was saved in the catalogue: sets, students, described columns."""

import json

import pytest

from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.teaching.own_work import save_text
from melodex.finder.teaching.students import students_of
from melodex.index.work_table import saved_works
from melodex.model.saved_work import WorkKind

WEIRS = ["the-weir-at-dawn", "the-weir-at-dusk"]


@pytest.fixture
def saved(catalogue, run, tmp_path):
    """A catalogue with a set, a student and a described column."""
    with open_catalogue(catalogue) as opened:
        save_text(opened, WorkKind.SET, "Autumn term", "\n".join(WEIRS))
        save_text(opened, WorkKind.STUDENT, "Ann", "song\nThe Weir at Dusk\n")
    table = tmp_path / "terms.csv"
    table.write_text("title,term\nThe Weir at Dusk,Autumn\nThe Weir at Dawn,Spring\n")
    assert run("describe", table).code == 0
    return catalogue


def _songs(run, *options):
    return [row["song"] for row in json.loads(run("songs", *options, "--json").out)]


@pytest.mark.usefixtures("saved")
@pytest.mark.parametrize(
    ("options", "songs"),
    [
        (("--set", "autumn TERM"), WEIRS),
        (("--where", "term=autumn"), WEIRS[1:]),
        (("--where", "Term = autumn", "--where", "term=spring"), WEIRS),
        (("--set", "Autumn term", "--metre", "3/4"), WEIRS[:1]),
    ],
)
def test_songs_are_chosen_by_a_saved_set_and_by_described_columns(run, options, songs):
    assert _songs(run, *options) == songs


@pytest.mark.usefixtures("saved")
@pytest.mark.parametrize(
    ("options", "problem"),
    [
        (("--set", "Winter"), "No song is in the set 'Winter' in the catalogue; its sets: Autumn"),
        (("--where", "term=winter"), "No song has the term 'winter' in the catalogue; its terms:"),
        (("--where", "mood=sad"), "no song of the catalogue has a mood yet"),
        (("--where", "autumn"), "'autumn' is not a column and its value"),
    ],
)
def test_a_set_or_value_that_is_not_there_names_those_there_are(run, options, problem):
    stopped = run("songs", *options)
    assert stopped.code
    assert problem in stopped.err


@pytest.mark.usefixtures("saved")
def test_a_plan_and_an_audit_take_a_set(run):
    plan = json.loads(run("lessons", "--set", "Autumn term", "--seconds", "1", "--json").out)
    assert sorted(lesson["song"] for lesson in plan["lessons"]) == WEIRS
    audit = json.loads(run("audit", "--set", "Autumn term", "--json").out)
    assert len(audit["pairs"]) + len(audit["alone"]) / 2 == 1  # of two songs, one pair or none


@pytest.mark.usefixtures("saved")
def test_a_student_is_named_as_it_was_saved(run):
    known = json.loads(run("known", "the-weir-at-dusk", "--student", "ann", "--json").out)
    assert known["share"] == 1


@pytest.mark.usefixtures("saved")
def test_a_file_comes_before_a_saved_student_of_its_name(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "Ann").write_text("harbour-lights-ahead\n")
    known = json.loads(run("known", "harbour-lights-ahead", "--student", "Ann", "--json").out)
    assert known["share"] == 1


def test_what_was_taught_is_noted_in_a_saved_student(run, saved):
    assert run("taught", "dawn", "--student", "Ann", "--date", "2027-01-11").code == 0
    with open_catalogue(saved) as opened:
        assert students_of(opened, "Ann").songs == WEIRS
        assert [work.name for work in saved_works(opened)] == ["Autumn term", "Ann"]


@pytest.mark.usefixtures("saved")
def test_a_student_that_is_neither_file_nor_saved_is_an_error(run):
    stopped = run("known", "dusk", "--student", "Bob")
    assert stopped.code == 1
    assert "Bob" in stopped.err
