"""A site that is busy still shows the form, as it was filled in."""

import html
import re

import pytest

from tests.web.serving import Visitor, served


@pytest.fixture
def busy(songbook, monkeypatch):
    """A visitor of a site that has no time for searches and work."""
    monkeypatch.setattr("melodex.web.site.MOST_SEARCHES", 0)
    monkeypatch.setattr("melodex.web.site.LONGEST_WAIT_SECONDS", 0.01)
    monkeypatch.setattr("melodex.web.jobs.MOST_AT_ONCE", 0)
    with served(songbook) as address:
        visitor = Visitor(address)
        yield visitor
        visitor.close()


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/find?form=notes&text=D4+E4+G4", ">D4 E4 G4</textarea>"),
        ("/compare?a=cinder-path&b=unlatched", 'name="a" value="cinder-path"'),
        ("/place?into=unlatched&text=D4+E4+G4", 'name="into" value="unlatched"'),
        ("/songs/nearly-home/arrange?measures=1-2", 'name="measures" value="1-2"'),
        ("/songs/nearly-home/tab?capo=2", 'value="2"'),
    ],
)
def test_a_search_on_a_busy_site_gets_its_form_back(busy, path, field):
    answer = busy.get(path)
    assert answer.status_code == 503
    assert "The site is busy" in answer.text
    assert field in answer.text


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/lessons", {"lessons": "4", "first": "unlatched", "must_come": "nearly-home"}),
        ("/student", {"student": "song\nUnlatched", "song": "nearly-home"}),
        ("/audit", {"level": "1-3", "against_level": "4"}),
        ("/licks", {"chord": "D7", "limit": "7"}),
    ],
)
def test_long_work_on_a_busy_site_gets_its_form_back(busy, path, sent):
    answer = busy.post(path, sent)
    assert answer.status_code == 503
    assert "running already" in answer.text
    page = html.unescape(answer.text)
    assert [text for text in sent.values() if not re.search(rf'[">]{text}["<]', page)] == []


def test_files_sent_to_a_busy_site_get_their_form_back(busy):
    files = [("files", ("weir.abc", "X:1\nT:Weir\nK:G\nGABc|"))]
    answer = busy.post("/add", {"collection": "autumn"}, files=files)
    assert answer.status_code == 503
    assert 'name="collection" value="autumn"' in answer.text


def test_a_limit_that_cannot_be_is_shown_above_the_form_as_it_was_filled_in(visitor):
    answer = visitor.post("/lessons", {"first": "no such song", "most_new": "3"})
    assert answer.status_code == 404
    assert answer.text.index("Next:") < answer.text.index("<form")
    assert 'name="first" value="no such song"' in answer.text
    assert 'name="most_new" value="3"' in answer.text
