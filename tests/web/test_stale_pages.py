"""Pages from before a restart, or of deleted work: they say what to do, and that works."""

import html
import re

import pytest

from tests.web.serving import Visitor, served

STALE = "a token of the server before"


def _way_on(page: str) -> str:
    """The address to which the page of work that is gone leads."""
    (address,) = re.findall(r'<a href="([^"]*)">Begin it again<', page)
    return html.unescape(address)


def test_an_address_from_before_a_restart_is_no_other_work_and_leads_to_its_form(songbook):
    form = {"student": "no such song", "song": "weir"}  # fails at once
    with served(songbook) as address:
        visitor = Visitor(address)
        before = visitor.post("/student", form).headers["location"]
        visitor.close()
    with served(songbook) as address:
        visitor = Visitor(address)
        visitor.post("/student", {"student": "nor this one"})  # the first work of this server
        gone = visitor.get(before)
        page = visitor.get(_way_on(gone.text)).text
        visitor.close()
    assert gone.status_code == 404
    assert ">no such song</textarea>" in page
    assert 'value="weir"' in page


@pytest.mark.parametrize(
    ("kept", "filled"),
    [
        ("begun_on=audit&tag=rolls&by=level", ("<option selected>rolls<", 'value="level"')),
        ("begun_on=licks&tag=warm-up&limit=3", ("<option selected>warm-up<", 'value="3"')),
        ("begun_on=lessons&metre=3/4&name=May", ("<option selected>3/4<", 'value="May"')),
    ],
)
def test_work_that_is_gone_leads_to_its_form_filled_in(visitor, kept, filled):
    gone = visitor.get(f"/jobs/of-another-start?{kept}")
    page = visitor.get(_way_on(gone.text)).text
    for piece in filled:
        assert piece in page


@pytest.mark.parametrize("kept", ["", "?begun_on=//elsewhere", "?begun_on=add%22%3E"])
def test_work_whose_form_is_unknown_leads_to_what_is_saved(visitor, kept):
    gone = visitor.get(f"/jobs/of-another-start{kept}")
    assert gone.status_code == 404
    assert "Begin it again" not in gone.text
    assert '<a href="/saved">' in gone.text


def test_work_that_failed_leads_back_to_its_form_filled_in(visitor):
    page = visitor.outcome(visitor.post("/student", {"student": "no such song", "song": "weir"}))
    (way_on,) = re.findall(r'<a href="([^"]*)">Back to the form', page.text)
    form = visitor.get(html.unescape(way_on)).text
    assert ">no such song</textarea>" in form
    assert 'value="weir"' in form


@pytest.mark.parametrize(
    ("path", "form", "filled"),
    [
        ("/audit", {"by": "level"}, 'value="level"'),
        ("/saved", {"kind": "set", "name": "Kept <name>", "text": "weir"}, "Kept &lt;name&gt;"),
        ("/songs/cinder-path/correct", {"title": "Kept title", "key": "A"}, 'value="Kept title"'),
        ("/ticked", {"do": "set", "song": "cinder-path", "set_name": "Kept"}, 'value="Kept"'),
    ],
)
def test_a_form_from_before_a_restart_is_shown_again_as_it_was_sent(visitor, path, form, filled):
    answer = visitor.post(path, form, token=STALE)
    assert answer.status_code == 403
    assert "is not from a page of this server as it runs now" in answer.text
    assert "send it again" in answer.text
    assert filled in answer.text
    assert STALE not in answer.text


def test_a_button_from_before_a_restart_leads_back_to_its_page(visitor):
    answer = visitor.post("/licks/forget", {"name": "x"}, token=STALE)
    assert answer.status_code == 403
    assert '<a href="/licks">' in answer.text


def test_the_page_of_a_song_that_is_gone_leads_to_a_search_for_it(visitor):
    answer = visitor.get("/songs/cinder-path-2")
    assert answer.status_code == 404
    assert '<a href="/?words=cinder+path+2">' in answer.text


def test_the_page_of_a_plan_that_is_gone_leads_to_what_is_saved(visitor):
    assert '<a href="/saved">See what is saved</a>' in visitor.get("/saved/gone").text
