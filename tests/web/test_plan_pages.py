"""Plans: saved when they are made, opened after a restart, and re-ordered by hand."""

import html
import re
import time

import pytest

from tests.web.serving import LONGEST_WAIT, Visitor, served

ASKED = {"tag": "warm-up", "lessons": "4", "seconds": "2", "level_step": "1", "name": "Term"}
_REASONS = re.compile(r'<ul class="because">(.*?)</ul>', re.DOTALL)
_LESSON = re.compile(r'<h2 id="title-\d+">(\d+)\. <a href="/songs/([^"]*)">')


def songs_of(page: str) -> list[str]:
    return [song for _, song in _LESSON.findall(page)]


@pytest.fixture(scope="module")
def plan(address) -> str:
    """The address of a plan of four lessons."""
    visitor = Visitor(address)
    answer = visitor.outcome(visitor.post("/lessons", ASKED))
    visitor.close()
    assert answer.status_code == 303, answer.text
    path: str = answer.headers["location"]
    return path


@pytest.fixture(autouse=True)
def no_evaluation_left(visitor, plan):
    """Leave no evaluation running, since few jobs run at once."""
    yield
    evaluated(visitor, plan)


@pytest.fixture
def page(visitor, plan) -> str:
    """The page of that plan, as it now stands."""
    text: str = visitor.get(plan).text
    return text


def fields_of(page: str, songs) -> dict[str, object]:
    """The fields of a plan's form, its songs in an order by hand."""
    places = {f"place-{song}": str(place) for place, song in enumerate(songs, start=1)}
    return {"song": songs_of(page), **places}


def reordered(visitor, plan: str, songs, **changes) -> str:
    """The page that comes of sending a plan's form with its songs in another order."""
    fields = fields_of(visitor.get(plan).text, songs) | changes
    answer = visitor.post(f"{plan}/order", fields)
    assert answer.status_code == 303, answer.text
    text: str = visitor.get(answer.headers["location"].partition("#")[0]).text
    return text


def evaluated(visitor, plan: str) -> str:
    """The page of a plan once it has been evaluated as it stands."""
    deadline = time.monotonic() + LONGEST_WAIT
    page = visitor.get(plan).text
    if "has not been evaluated yet" in page:  # a test before kept the site busy
        visitor.post(f"{plan}/order", fields_of(page, songs_of(page)))
    while 'id="evaluating"' in (page := visitor.get(plan).text):
        assert time.monotonic() < deadline, "the evaluation did not end"
        time.sleep(0.05)
    text: str = page
    return text


def test_a_plan_has_the_number_of_lessons_wanted_with_reasons(page):
    assert len(songs_of(page)) == 4
    assert "<h1>Term</h1>" in page


def test_a_plan_that_was_made_is_open_again_after_a_restart_with_its_reasons(
    visitor, plan, songbook
):
    before = evaluated(visitor, plan)
    with served(songbook) as address:
        later = Visitor(address)
        after = later.get(plan).text
        later.close()
    assert songs_of(after) == songs_of(before)
    reasons = _REASONS.findall(before)
    assert [bool(reason) for reason in reasons] == [True] * 4  # else it was not evaluated
    assert _REASONS.findall(after) == reasons
    assert "known already" in after


def test_a_plan_without_a_name_is_saved_under_its_date(visitor):
    answer = visitor.outcome(visitor.post("/lessons", ASKED | {"name": "", "seconds": "1"}))
    assert "<h1>Plan of " in visitor.get(answer.headers["location"]).text


def test_an_order_by_hand_is_saved_at_once_and_evaluated_as_it_stands(visitor, plan, page):
    turned = songs_of(page)[::-1]
    assert songs_of(reordered(visitor, plan, turned, do="evaluate")) == turned
    after = evaluated(visitor, plan)
    assert songs_of(after) == turned
    assert "known already" in after


def test_a_button_moves_a_song_by_one_lesson_and_leads_back_to_it(visitor, plan, page):
    one, two, *others = songs_of(page)
    fields = fields_of(page, [one, two, *others]) | {"move": f"up:{two}"}
    answer = visitor.post(f"{plan}/order", fields)
    assert answer.headers["location"] == f"{plan}#song-{two}"
    assert songs_of(visitor.get(plan).text) == [two, one, *others]


def test_the_same_move_sent_twice_moves_once(visitor, plan, page):
    one, two, *others = songs_of(page)
    for _ in range(2):  # a double click
        visitor.post(f"{plan}/order", fields_of(page, [one, two, *others]) | {"move": f"up:{two}"})
    assert songs_of(visitor.get(plan).text) == [two, one, *others]


def test_a_move_is_taken_back(visitor, plan, page):
    songs = songs_of(page)
    reordered(visitor, plan, songs[::-1])
    visitor.post(f"{plan}/undo")
    assert songs_of(visitor.get(plan).text) == songs


def test_a_move_is_saved_also_where_the_site_is_too_busy_to_evaluate_it(
    visitor, plan, page, monkeypatch
):
    turned = songs_of(page)[::-1]
    evaluated(visitor, plan)
    monkeypatch.setattr("melodex.web.jobs.MOST_AT_ONCE", 0)
    after = reordered(visitor, plan, turned)
    assert songs_of(after) == turned
    assert "it has not been evaluated yet" in after


def test_a_song_without_a_number_is_taken_out(visitor, plan, page):
    one, *others = songs_of(page)
    assert songs_of(reordered(visitor, plan, [one, *others], **{f"place-{one}": ""})) == others
    visitor.post(f"{plan}/undo")


def test_an_order_without_songs_is_refused_above_the_order_as_it_was_sent(visitor, plan, page):
    songs = songs_of(page)
    nothing = {f"place-{song}": "" for song in songs}
    answer = visitor.post(f"{plan}/order", fields_of(page, songs) | nothing)
    assert answer.status_code == 400
    assert "No song is left in the plan" in answer.text
    assert f'name="place-{songs[0]}" value=""' in answer.text


def test_ordering_anew_keeps_the_lessons_that_are_ticked(visitor, plan, page, monkeypatch):
    monkeypatch.setattr("melodex.web.routes.plan_pages.SECONDS", 1.0)
    turned = songs_of(page)[::-1]
    fields = fields_of(page, turned) | {"do": "again", "keep": turned[0]}
    visitor.outcome(visitor.post(f"{plan}/order", fields))
    after = songs_of(visitor.get(plan).text)
    assert after[0] == turned[0]
    assert sorted(after) == sorted(turned)


def test_a_plan_is_written_as_handouts_of_all_its_songs(visitor, plan, page):
    fields = fields_of(page, songs_of(page)) | {"do": "handouts"}
    after = visitor.outcome(visitor.post(f"{plan}/order", fields)).text
    (path,) = re.findall(r'href="([^"]*)" download', after)
    answer = visitor.get(path)
    assert answer.headers["content-disposition"] == 'attachment; filename="handouts.html"'
    for title in re.findall(r'<h2 id="title-\d+">.*?">([^<]*)</a>', page):
        assert html.unescape(title) in html.unescape(answer.text)


def test_a_plan_is_downloaded_as_the_commands_file_and_saved_from_it(visitor, plan, page):
    answer = visitor.get(f"{plan}/file")
    assert answer.headers["content-disposition"] == 'attachment; filename="term.toml"'
    sent = {"kind": "plan", "name": "From a file"}
    saved = visitor.post("/saved", sent, files={"file": ("term.toml", answer.content)})
    assert songs_of(visitor.get(saved.headers["location"]).text) == songs_of(page)


def test_a_plan_says_which_of_its_songs_are_gone(visitor):
    text = '[[lesson]]\nsong = "cinder-path"\n'
    saved = visitor.post("/saved", {"kind": "plan", "name": "Gone", "text": text})
    turned = {
        "song": ["cinder-path", "gone-song"],
        "place-cinder-path": "1",
        "place-gone-song": "2",
    }
    visitor.post(f"{saved.headers['location']}/order", turned)
    page = visitor.get(saved.headers["location"]).text
    assert "No longer in the catalogue" in page
    assert 'href="/?words=gone+song"' in page


def test_work_on_a_plan_that_is_gone_leads_back_to_the_plan(visitor, plan, page):
    form = fields_of(page, songs_of(page)) | {"do": "handouts"}
    answer = visitor.post(f"{plan}/order", form)
    visitor.post(answer.headers["location"].partition("?")[0] + "/stop")
    kept = answer.headers["location"].partition("?")[2]
    gone = visitor.get(f"/jobs/of-another-start?{kept}")
    assert gone.status_code == 404
    assert f'<a href="{plan}">Begin it again</a>' in gone.text
