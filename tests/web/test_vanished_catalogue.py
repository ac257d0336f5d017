"""A catalogue that vanishes under its server is reported, and never made anew."""

import pytest

from tests.web.serving import Visitor, served
from tests.web.test_adding import TUNE, send


@pytest.fixture
def bereft(owner, own_catalogue):
    """A visitor of a site whose catalogue was deleted, and the token it had given out."""
    token = owner.token()
    own_catalogue.unlink()
    yield owner, token
    assert not own_catalogue.exists()


@pytest.mark.parametrize("path", ["/", "/find", "/licks", "/songs/weir", "/saved", "/audit"])
def test_every_page_says_that_the_catalogue_is_gone_and_what_to_do(bereft, path):
    answer = bereft[0].get(path)
    assert answer.status_code == 503
    assert "is gone" in answer.text
    assert "Next: put it back" in answer.text


def test_files_are_not_added_to_a_catalogue_that_is_gone(bereft, own_catalogue):
    owner, token = bereft
    files = [("files", ("weir.abc", TUNE.format(title="The Weir")))]
    answer = owner.post("/add", {"collection": "class"}, token=token, files=files)
    assert answer.status_code == 503
    assert "is gone" in answer.text
    assert not list(own_catalogue.parent.rglob("*.abc"))


def test_long_work_says_that_the_catalogue_is_gone(bereft):
    owner, token = bereft
    page = owner.outcome(owner.post("/audit", token=token))
    assert page.status_code == 503
    assert "is gone" in page.text


def test_a_catalogue_that_is_put_back_is_served_again(owner, own_catalogue):
    elsewhere = own_catalogue.rename(own_catalogue.with_name("elsewhere.db"))
    assert owner.get("/").status_code == 503
    elsewhere.rename(own_catalogue)
    assert owner.get("/").status_code == 200


def test_a_server_that_is_started_without_a_catalogue_begins_with_an_empty_one(tmp_path):
    with served(tmp_path / "new" / "songs.db") as address:
        visitor = Visitor(address)
        assert "This catalogue is empty" in visitor.get("/").text
        page = visitor.outcome(send(visitor, ("weir.abc", TUNE.format(title="The Weir"))))
        visitor.close()
    assert "1 added" in page.text
