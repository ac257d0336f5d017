"""What was taught: noted on a saved plan and on a student's page, and taken back."""

import re
import shutil
from datetime import date, timedelta

import pytest

from melodex.finder.collection.demo import add_songbook
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.given_lick import LickForm, given_lick
from melodex.finder.keeping_licks import keep_lick
from melodex.finder.teaching.own_work import plain_plan, save_plan, save_text
from melodex.index.work_table import work_named
from melodex.model.results.lesson import Limits
from melodex.model.saved_work import WorkKind
from melodex.model.weekly_dates import date_in_words
from tests.web.serving import Visitor, served

SONGS = ("unlatched", "cinder-path", "the-gate-hinge")
TODAY = date.today()
LONG_AGO = date(2020, 1, 6)


def _saved(catalogue, name):
    found = work_named(catalogue, WorkKind.STUDENT, name)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """A site with a student and a class: its address, its catalogue, and a copy as it was."""
    folder = tmp_path_factory.mktemp("taught")
    path, copy = folder / "songs.db", folder / "first.db"
    with open_catalogue(copy) as catalogue:  # others save students in the shared one
        add_songbook(catalogue)
        save_text(catalogue, WorkKind.STUDENT, "Ann", "song\nThe Barley Loft\n")
        table = "student,song\nBen,The Barley Loft\nCleo,Unlatched\n"
        save_text(catalogue, WorkKind.STUDENT, "Class", table)
    shutil.copy(copy, path)
    with served(path) as address:
        yield address, path, copy


@pytest.fixture(name="own_catalogue")
def catalogue_of_site(site):
    """Its catalogue, as it was at first."""
    _, path, copy = site
    shutil.copy(copy, path)
    return path


@pytest.fixture
def teacher(site, own_catalogue):
    """A visitor of that site."""
    assert own_catalogue.is_file()
    visitor = Visitor(site[0])
    yield visitor
    visitor.close()


@pytest.fixture
def planned(own_catalogue):
    """The address of a plan for Ann, by the limits that it has."""

    def plan(**limits):
        with open_catalogue(own_catalogue) as catalogue:
            titles = dict(catalogue.titles())
            ann = _saved(catalogue, "Ann").content
            made = plain_plan(SONGS, Limits(**limits), titles)
            return f"/saved/{save_plan(catalogue, 'Term', made, student=ann).work}"

    return plan


@pytest.fixture
def table_of(own_catalogue):
    """The lines that are noted in a saved table, by its name."""

    def lines(name):
        with open_catalogue(own_catalogue) as catalogue:
            content = _saved(catalogue, name).content
        return [line for line in content.splitlines() if line.startswith("taught")]

    return lines


@pytest.fixture
def address_of(own_catalogue):
    def address(name):
        with open_catalogue(own_catalogue) as catalogue:
            return f"/saved/{_saved(catalogue, name).work}"

    return address


def _pressed(teacher, plan, lesson, **fields):
    """The page that comes of "Taught" beside a lesson, for those whom the page names."""
    page = teacher.get(plan).text
    whom = re.search(r'name="whom" value="([^"]+)"', page)
    sent = {"lesson": str(lesson), "whom": whom[1] if whom else ""} | fields
    answer = teacher.post(f"{plan}/taught", sent)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"].endswith(f"#title-{lesson}")
    return teacher.get(answer.headers["location"].partition("#")[0]).text


def test_a_lesson_is_noted_for_the_student_of_the_plan_on_the_day_that_was_planned(
    teacher, planned, table_of
):
    plan = planned(first_date=LONG_AGO)
    page = _pressed(teacher, plan, 2)
    assert table_of("Ann") == ["taught 2020-01-13: Cinder Path"]
    assert f"Taught on {date_in_words(date(2020, 1, 13))}" in page


@pytest.mark.parametrize("first", [None, TODAY + timedelta(weeks=9)])
def test_a_lesson_without_a_day_or_with_one_to_come_was_taught_today(
    teacher, planned, table_of, first
):
    _pressed(teacher, planned(first_date=first), 1)
    assert table_of("Ann") == [f"taught {TODAY}: Unlatched"]


def test_a_lesson_noted_twice_is_noted_once(teacher, planned, table_of):
    plan = planned()
    _pressed(teacher, plan, 1)
    _pressed(teacher, plan, 1)
    assert len(table_of("Ann")) == 1


def test_a_note_is_taken_back_where_it_was_made(teacher, planned, table_of, address_of):
    plan = planned()
    assert 'form="untaught"' in _pressed(teacher, plan, 3)
    answer = teacher.post(f"{address_of('Ann')}/undo", {"plan": plan[7:], "lesson": "3"})
    assert answer.headers["location"] == f"{plan}#title-3"
    assert table_of("Ann") == []
    assert "Taught on" not in teacher.get(plan).text


def test_a_review_notes_every_song_that_it_goes_over(teacher, planned, table_of):
    page = _pressed(teacher, planned(review_every=3, first_date=LONG_AGO), 3)
    assert table_of("Ann") == ["taught 2020-01-20: Unlatched", "taught 2020-01-20: Cinder Path"]
    assert page.count(f"Taught on {date_in_words(date(2020, 1, 20))}") == 3


def test_a_lesson_is_noted_for_everyone_of_a_class_at_once_or_for_one(
    teacher, planned, table_of, address_of
):
    plan, group = planned(first_date=LONG_AGO), address_of("Class")[7:]
    _pressed(teacher, plan, 1, whom=group)
    _pressed(teacher, plan, 2, whom=f"{group} Cleo")
    assert table_of("Class") == [
        "taught 2020-01-06 to Ben: Unlatched",
        "taught 2020-01-06 to Cleo: Unlatched",
        "taught 2020-01-13 to Cleo: Cinder Path",
    ]


def test_a_plan_for_nobody_leaves_the_choice_of_the_student(teacher, own_catalogue):
    with open_catalogue(own_catalogue) as catalogue:
        made = plain_plan(SONGS, Limits(), dict(catalogue.titles()))
        plan = f"/saved/{save_plan(catalogue, 'Open', made).work}"
    page = teacher.get(plan).text
    assert "Class: Ben</option>" in page
    assert 'form="taught"' not in page
    refused = teacher.post(f"{plan}/taught", {"lesson": "1"})
    assert refused.status_code == 400
    assert "It is not said who was taught." in refused.text


def test_a_song_in_part_and_a_kept_lick_are_noted_on_the_students_page(
    teacher, table_of, address_of, own_catalogue
):
    with open_catalogue(own_catalogue) as catalogue:
        keep_lick(catalogue, "first fill", given_lick(catalogue, LickForm.NOTES, "D4 E4 G4 B4"))
    page, day = address_of("Ann"), {"day": "2020-01-06"}
    teacher.post(f"{page}/taught", day | {"song": "cinder p", "up_to": "4"})
    teacher.post(f"{page}/taught", day | {"lick": "first fill"})
    assert table_of("Ann") == [
        "taught 2020-01-06: Cinder Path, up to measure 4",
        "taught 2020-01-06 lick: first fill",
    ]
    assert "Noted last: taught 2020-01-06 lick: first fill" in teacher.get(page).text


def test_what_is_due_is_taught_again_by_one_button(teacher, table_of, address_of):
    path = address_of("Class")
    _post = {"song": "unlatched", "whom": f"{path[7:]} Ben", "day": "2020-01-06"}
    teacher.post(f"{path}/taught", _post)
    page = teacher.get(path).text
    (form,) = re.findall(r"<li>Ben: Unlatched, taught once.*?</form>", page, re.DOTALL)
    fields = dict(re.findall(r'name="(song|whom)" value="([^"]*)"', form))
    teacher.post(f"{path}/taught", fields)
    assert table_of("Class")[1:] == [f"taught {TODAY} to Ben: Unlatched"]
    assert "Due for review" not in teacher.get(path).text


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "Say one thing that was taught."),
        ({"song": "unlatched", "lick": "fill"}, "Say one thing that was taught."),
        ({"song": "no such song"}, "no such song"),
        ({"song": "unlatched", "day": "yesterday"}, "which is not a date"),
    ],
)
def test_what_cannot_be_noted_is_refused_above_the_form_as_it_was_sent(
    teacher, table_of, address_of, fields, sentence
):
    answer = teacher.post(f"{address_of('Ann')}/taught", fields)
    assert answer.status_code in {400, 404}
    assert sentence in answer.text
    assert f'value="{fields.get("song", "")}"' in answer.text
    assert table_of("Ann") == []


def test_a_table_that_cannot_be_read_any_more_still_has_its_page(teacher, address_of):
    ann = address_of("Ann")
    teacher.post("/songs/the-barley-loft/remove")
    teacher.post("/songs/the-barley-loft-rolled/remove")
    answer = teacher.get(ann)
    assert "The table of &#39;Ann&#39;, line 2" in answer.text
    assert "Save the change" in answer.text
