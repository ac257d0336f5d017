"""The pages for teaching: plans, students, audits."""

import html
import re

import pytest

from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.teaching.repertoire_audit import audit

WARM_UPS = {"tag": "warm-up"}


def test_limits_that_conflict_are_named(visitor):
    page = visitor.outcome(visitor.post("/lessons", WARM_UPS | {"lessons": "3", "most_new": "0"}))
    assert page.status_code == 400
    assert "Next:" in page.text


def test_an_unknown_song_in_a_limit_is_reported_at_once(visitor):
    answer = visitor.post("/lessons", WARM_UPS | {"first": "no such song"})
    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("path", "fields"),
    [
        ("/lessons", {"tag": "nope"}),
        ("/audit", {"tag": "nope"}),
        ("/audit", {"against_tag": "nope"}),
        ("/student", {"tag": "nope", "student": "song\nUnlatched\n"}),
    ],
)
def test_a_filter_value_that_no_song_has_is_reported_with_the_nearest(visitor, path, fields):
    page = visitor.outcome(visitor.post(path, fields))
    assert page.status_code == 404
    assert "No song has the tag" in page.text
    assert "the nearest of its" in page.text


def test_a_students_table_shows_what_is_known_and_what_comes_next(visitor):
    table = "song\nThe Barley Loft (rolled)\n"
    answer = visitor.post("/student", {"student": table, "song": "the-barley-loft"})
    page = visitor.outcome(answer).text
    assert re.search(r"The Barley Loft: \d+\s% of its music can be played already", page)
    assert "Songs that come nearest" in page


def test_a_student_reads_what_is_due_and_which_songs_are_versions_of_known_ones(visitor):
    table = "Unlatched\nThe Barley Loft\ntaught 2020-01-11: Unlatched\n"
    page = visitor.outcome(visitor.post("/student", {"student": table, "tag": "rolls"}))
    assert "Unlatched, taught once, last on 2020-01-11; due since 2020-01-16" in page.text
    (row,) = [line for line in page.text.splitlines() if "a version of" in line]
    assert "The Barley Loft (rolled)</a>: a version of The Barley Loft, which is known" in row


def test_a_students_table_may_be_a_file(visitor):
    answer = visitor.post("/student", files={"student_file": ("ann.csv", b"song\nUnlatched\n")})
    assert "Songs that come nearest" in visitor.outcome(answer).text


@pytest.mark.parametrize(
    ("table", "sentence"),
    [
        ("song\nno such song\n", "The student&#39;s table, line 2"),
        ("colour\nred\n", "no column is called"),
        ("", "table is missing"),
    ],
)
def test_a_wrong_table_is_reported_with_its_line(visitor, table, sentence):
    page = visitor.outcome(visitor.post("/student", {"student": table}))
    assert page.status_code == 400
    assert sentence in page.text


def test_an_audit_shows_what_the_command_prints_and_draws_it(visitor, songbook):
    with open_catalogue(songbook) as catalogue:
        expected = audit(catalogue).overview
    answer = visitor.post("/audit")
    page = visitor.outcome(answer).text
    assert f"Audit of {len(expected.songs)} songs" in page
    assert html.escape(expected.pairs[0].title_a) in page.replace("&#39;", "&#x27;")
    pictures = re.findall(r'<img src="([^"]*)"', page)
    assert len(pictures) == 2
    for picture in pictures:
        drawn = visitor.get(picture)
        assert drawn.headers["content-type"].startswith("image/svg+xml")
        assert "<svg" in drawn.text
    (saved,) = re.findall(r'<a href="(/jobs/[^"]*)" download>', page)
    report = visitor.get(saved)
    assert report.headers["content-disposition"] == 'attachment; filename="audit.html"'
    assert "data:image/svg+xml" in report.text


def test_two_groups_stand_side_by_side_on_the_page_with_a_picture(visitor):
    page = visitor.outcome(visitor.post("/audit", {**WARM_UPS, "against_tag": "rolls"})).text
    assert "Tunes only in these songs" in page
    assert "Tunes only in the others" in page
    assert 'two_groups.svg"' in page


def test_groups_are_compared_by_a_column_on_the_page(visitor):
    page = visitor.outcome(visitor.post("/audit", {**WARM_UPS, "by": "level"})).text
    assert "Tunes only in 1<" in page
    assert "Tunes only in 2<" in page


def test_a_file_of_another_name_is_not_served(visitor):
    answer = visitor.post("/audit", WARM_UPS)
    visitor.outcome(answer)
    page = answer.headers["location"].partition("?")[0]
    for name in ("student.csv", "..%2f..%2fsongs.db"):
        assert visitor.get(f"{page}/{name}").status_code == 404


def test_work_is_stopped_from_its_page(visitor):
    started = visitor.post("/lessons", {"seconds": "60"})
    page = started.headers["location"].partition("?")[0]
    assert "Stop</button>" in visitor.get(page).text
    visitor.post(f"{page}/stop")
    assert "Stopped after" in visitor.get(page).text
