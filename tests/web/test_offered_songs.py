"""A name that may mean several songs: each is offered by title and book, and leads on."""

import html
import re

import pytest

_OFFERED = re.compile(r'<li><a href="([^"]+)">([^<]+)</a> <span class="aside">([^<]+)</span></li>')


def _offers(answer):
    """The addresses that a message offers, by titles."""
    message = answer.text[answer.text.index('class="message"') :].partition("</div>")[0]
    return {title: html.unescape(address) for address, title, _ in _OFFERED.findall(message)}


def test_the_songs_are_named_by_title_and_book_and_not_by_id(visitor):
    answer = visitor.get("/compare?a=barley&b=unlatched")
    ((_, title, book), *_) = _OFFERED.findall(answer.text)
    assert (title, book) == ("The Barley Loft", "songbook")
    assert "the-barley-loft (" not in answer.text


@pytest.mark.parametrize(
    ("path", "title", "again"),
    [
        (
            "/compare?a=barley&b=unlatched",
            "The Barley Loft",
            "/compare?a=the-barley-loft&b=unlatched",
        ),
        (
            "/place?into=barley&text=D4+E4+G4",
            "The Barley Loft",
            "/place?into=the-barley-loft&text=D4+E4+G4",
        ),
        ("/songs?name=barley", "The Barley Loft", "/songs?name=the-barley-loft"),
        ("/songs?name=unlatchd", "Unlatched", "/songs?name=unlatched"),
    ],
)
def test_choosing_one_puts_it_in_place_of_the_name(visitor, path, title, again):
    answer = visitor.get(path)
    assert answer.status_code == 404
    assert _offers(answer)[title] == again
    assert visitor.get(again, follow_redirects=True).status_code == 200


def test_choosing_one_of_several_songs_of_a_form_leaves_the_others(visitor):
    sent = {"lessons": "3", "before": "barley > unlatched\ncinder path > unlatched"}
    answer = visitor.post("/lessons", sent)
    page = visitor.get(_offers(answer)["The Barley Loft"]).text
    assert 'name="lessons" value="3"' in page
    assert "the-barley-loft &gt; unlatched\ncinder path &gt; unlatched</textarea>" in page


def test_choosing_one_on_a_students_page_fills_its_form_in(visitor):
    saved = {"kind": "student", "name": "Dot", "text": "Unlatched"}
    path = visitor.post("/saved", saved).headers["location"]
    answer = visitor.post(f"{path}/taught", {"song": "barley", "day": "2027-01-11"})
    page = visitor.get(_offers(answer)["The Barley Loft"]).text
    assert 'name="song" value="the-barley-loft"' in page
    assert 'type="date" value="2027-01-11"' in page
    visitor.post(f"{path}/delete")


def test_of_very_many_songs_eight_are_offered_and_the_others_are_a_search_away(visitor):
    answer = visitor.get("/songs?name=the")
    assert len(_offers(answer)) == 8
    assert re.search(r'<a href="/\?words=the">and \d+ more</a>', answer.text)
