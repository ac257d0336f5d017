"""The pages for teaching: plans, students, audits."""

import html
import re

import pytest

from melodex.finder.audit import audit
from melodex.finder.open_catalogue import open_catalogue
from tests.web.serving import Visitor

WARM_UPS = {"tag": "warm-up"}
_LESSON = re.compile(r'<h2 id="title-\d+">(\d+)\. <a href="/songs/([^"]*)">')


def songs_of(page: str) -> list[str]:
    return [song for _, song in _LESSON.findall(page)]


@pytest.fixture(scope="module")
def plan(address) -> str:
    """The page of a plan of four lessons."""
    asked = WARM_UPS | {"lessons": "4", "seconds": "2", "level_step": "1"}
    visitor = Visitor(address)
    page = visitor.outcome(visitor.post("/lessons", asked)).text
    visitor.close()
    return page


def fields_of(page: str, songs) -> dict[str, object]:
    """The fields of a plan's form, its songs in an order by hand."""
    hidden = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)"', page)
    fields: dict[str, object] = {
        name: html.unescape(value) for name, value in hidden if name not in {"song", "token"}
    }
    places = {f"place-{song}": str(place) for place, song in enumerate(songs, start=1)}
    return fields | {"song": songs_of(page)} | places


def reordered(visitor, plan: str, songs, **changes) -> str:
    """The page that comes of sending a plan's form with its songs in another order."""
    fields = fields_of(plan, songs) | changes
    page: str = visitor.outcome(visitor.post("/lessons/order", fields)).text
    return page


def test_a_plan_has_as_many_lessons_as_asked_for_with_reasons(plan):
    assert len(songs_of(plan)) == 4
    assert re.search(r"is new|are new|comes back from lesson", plan)


def test_an_order_that_cannot_be_looked_at_now_stays_as_it_was_sent(visitor, plan, monkeypatch):
    monkeypatch.setattr("melodex.web.jobs.MOST_AT_ONCE", 0)
    first, second, *others = songs_of(plan)
    fields = fields_of(plan, [second, first, *others]) | {"keep": second, f"place-{first}": "2.5"}
    answer = visitor.post("/lessons/order", fields)
    assert answer.status_code == 503
    assert answer.text.index("running already") < answer.text.index("<form")
    assert f'name="place-{second}" value="1"' in answer.text
    assert f'name="place-{first}" value="2.5"' in answer.text
    assert re.findall(r'name="keep" value="([^"]*)" checked', answer.text) == [second]


def test_an_order_of_a_plan_that_is_gone_gets_the_page_of_errors(visitor, plan, monkeypatch):
    monkeypatch.setattr("melodex.web.jobs.MOST_AT_ONCE", 0)
    answer = visitor.post("/lessons/order", fields_of(plan, songs_of(plan)) | {"job": "999"})
    assert answer.status_code == 503
    assert "running already" in answer.text


def test_limits_that_conflict_are_named(visitor):
    page = visitor.outcome(visitor.post("/lessons", WARM_UPS | {"lessons": "3", "most_new": "0"}))
    assert page.status_code == 400
    assert "Next:" in page.text


def test_an_unknown_song_in_a_limit_is_told_at_once(visitor):
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
def test_a_filter_value_that_no_song_has_is_told_with_the_nearest(visitor, path, fields):
    page = visitor.outcome(visitor.post(path, fields))
    assert page.status_code == 404
    assert "No song has the tag" in page.text
    assert "the nearest of its" in page.text


def test_an_order_by_hand_is_judged_as_it_stands(visitor, plan):
    turned = songs_of(plan)[::-1]
    assert songs_of(reordered(visitor, plan, turned, do="judge")) == turned


def test_an_order_that_breaks_a_limit_says_which(visitor, plan):
    songs = songs_of(plan)
    page = reordered(visitor, plan, songs, do="judge", before=f"{songs[3]} > {songs[0]}")
    assert "This order breaks a limit" in page
    assert songs[3] in page.partition("breaks")[2].partition("</div>")[0]


def test_a_button_moves_a_song_by_one_lesson(visitor, plan):
    one, two, *others = songs_of(plan)
    page = reordered(visitor, plan, [one, two, *others], move=f"up:{two}")
    assert songs_of(page) == [two, one, *others]


def test_a_song_without_a_number_is_taken_out(visitor, plan):
    one, *others = songs_of(plan)
    changes = {f"place-{one}": "", "do": "judge"}
    assert songs_of(reordered(visitor, plan, [one, *others], **changes)) == others


def test_ordering_anew_keeps_the_lessons_that_are_ticked(visitor, plan):
    turned = songs_of(plan)[::-1]
    page = reordered(visitor, plan, turned, do="again", keep=turned[0])
    assert songs_of(page)[0] == turned[0]
    assert sorted(songs_of(page)) == sorted(turned)


def test_a_plan_is_written_as_handouts_of_all_its_songs(visitor, plan):
    page = reordered(visitor, plan, songs_of(plan), do="handouts")
    (path,) = re.findall(r'href="([^"]*)" download', page)
    answer = visitor.get(path)
    assert answer.headers["content-disposition"] == 'attachment; filename="handouts.html"'
    for title in re.findall(r'<h2 id="title-\d+">.*?">([^<]*)</a>', plan):
        assert title in answer.text


def test_a_students_table_tells_what_is_known_and_what_comes_next(visitor):
    table = "song\nThe Barley Loft (rolled)\n"
    answer = visitor.post("/student", {"student": table, "song": "the-barley-loft"})
    page = visitor.outcome(answer).text
    assert re.search(r"The Barley Loft: \d+ % of its music can be played already", page)
    assert "Songs that come nearest" in page


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
def test_a_wrong_table_is_told_with_its_line(visitor, table, sentence):
    page = visitor.outcome(visitor.post("/student", {"student": table}))
    assert page.status_code == 400
    assert sentence in page.text


def test_an_audit_tells_what_the_command_tells_and_draws_it(visitor, songbook):
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


def test_two_groups_stand_side_by_side_on_the_page_with_a_picture(visitor):
    page = visitor.outcome(visitor.post("/audit", {**WARM_UPS, "against_tag": "rolls"})).text
    assert "Tunes only in these songs" in page
    assert "Tunes only in the others" in page
    assert 'two_groups.svg"' in page


def test_groups_are_compared_by_a_column_on_the_page(visitor):
    page = visitor.outcome(visitor.post("/audit", {**WARM_UPS, "by": "level"})).text
    assert "Tunes only in 1<" in page
    assert "Tunes only in 2<" in page


def test_a_file_of_another_name_is_not_given(visitor):
    answer = visitor.post("/audit", WARM_UPS)
    visitor.outcome(answer)
    for name in ("student.csv", "..%2f..%2fsongs.db"):
        assert visitor.get(f"{answer.headers['location']}/{name}").status_code == 404


def test_work_is_stopped_from_its_page(visitor):
    started = visitor.post("/lessons", {"seconds": "60"})
    page = started.headers["location"]
    assert "Stop</button>" in visitor.get(page).text
    visitor.post(f"{page}/stop")
    assert "Stopped after" in visitor.get(page).text
