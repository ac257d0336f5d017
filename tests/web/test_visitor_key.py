"""A site that other machines can reach: it requires its key, and may be read-only."""

import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from starlette.routing import Route

from melodex.finder.collection.check_catalogue import back_up
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.keeping_licks import keep_lick
from melodex.finder.teaching.own_work import save_text
from melodex.model.saved_work import WorkKind
from melodex.search.query import lick_from_song
from melodex.web.app import Access, site_for
from melodex.web.visitor_key import VisitorKey, new_key
from tests.web.serving import Visitor, served

KEY = "fixed-so-that-tests-have-the-same-names-each-time"
NETWORK = "0.0.0.0"  # noqa: S104 - every address of this machine
FORMS = re.compile(r'<form method="post" action="([^"]+)"')


PLAN = '[[lesson]]\nsong = "unlatched"\n[[lesson]]\nsong = "cinder-path"\n'
SAVED = {WorkKind.PLAN: PLAN, WorkKind.SET: "unlatched\n", WorkKind.STUDENT: "song\nunlatched\n"}


@pytest.fixture(scope="module")
def saved_pages() -> list[str]:
    """The addresses of a plan, a set and a student that are saved."""
    return []


@pytest.fixture(scope="module")
def network_address(songbook, saved_pages, tmp_path_factory):
    """The songbook on a site for the network, with something of each kind saved."""
    path = tmp_path_factory.mktemp("network") / "songs.db"
    with open_catalogue(songbook) as catalogue:
        back_up(catalogue, path)
    with open_catalogue(path) as catalogue:
        keep_lick(catalogue, "a fill", lick_from_song(catalogue, "unlatched", measures=(1, 2)))
        for kind, text in SAVED.items():
            saved_pages.append(f"/saved/{save_text(catalogue, kind, kind, text).work}")
    with served(path, Access(NETWORK, KEY, may_change=False)) as address:
        yield address


@pytest.fixture
def stranger(network_address):
    """Somebody in the network who has no key."""
    visitor = Visitor(network_address)
    yield visitor
    visitor.close()


@pytest.fixture
def guest(stranger):
    """Somebody who has opened the address that was printed."""
    stranger.get(f"/?key={KEY}")
    return stranger


@pytest.mark.parametrize("path", ["/", "/songs/cinder-path", "/add", "/find", "/nowhere"])
def test_nothing_is_shown_to_those_without_the_key(stranger, path):
    answer = stranger.get(path)
    assert answer.status_code == 403
    assert "who have its key" in answer.text


def test_a_new_key_is_long_and_another_each_time():
    assert len({new_key() for _ in range(20)}) == 20
    # 256 bits in base64url, six a character (RFC 4648, section 5).
    assert len(new_key()) >= 256 // 6


@pytest.mark.parametrize("key", ["", "guessed", KEY[:-1], KEY + "x", "ключ"])
def test_a_wrong_key_opens_nothing(stranger, key):
    assert stranger.get("/", params={"key": key}).status_code == 403
    cookie = f"melodex-key-{urlsplit(stranger.address).port}={key}".encode()
    answer = stranger.get("/", headers={"Cookie": cookie})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_no_form_is_taken_without_the_key(stranger):
    assert stranger.post("/licks", token="").status_code == 403


def test_the_key_of_the_printed_address_is_kept_in_a_cookie_that_no_script_or_site_reaches(
    stranger,
):
    answer = stranger.get(f"/songs?name=weir&key={KEY}")
    kept = answer.headers["set-cookie"].casefold()
    assert "httponly" in kept
    assert "samesite=strict" in kept
    assert answer.headers["refresh"] == "0; url=/songs?name=weir"
    assert stranger.get("/").status_code == 200


def test_two_sites_of_one_machine_keep_their_keys_apart(stranger, songbook):
    with served(songbook, Access(NETWORK, KEY + "2")) as address:
        other = Visitor(address)
        cookies = {
            each.get("/", params={"key": key}).headers["set-cookie"].partition("=")[0]
            for each, key in ((stranger, KEY), (other, KEY + "2"))
        }
        other.close()
    assert len(cookies) == 2


@pytest.mark.parametrize("path", ["//evil.example/", "/\\evil.example", "/a\r\nX: y"])
def test_the_way_on_leads_nowhere_else(path):
    scope = {"type": "http", "method": "GET", "path": path, "headers": []}
    shown = VisitorKey(KEY).shown_in(scope | {"query_string": f"key={KEY}".encode()})
    assert shown is not None
    assert re.fullmatch(r"0; url=/[^/\\\s][^\\\s]*", shown.headers["refresh"])


def posted_addresses() -> set[str]:
    routes = [route for route in site_for(Path("none.db")).routes if isinstance(route, Route)]
    return {route.path for route in routes if "POST" in (route.methods or ())}


OWN_PAGES = ("/", "/add", "/licks", "/lessons", "/student", "/audit", "/saved")
COMPUTES_ONLY = {"/licks", "/student", "/audit", "/jobs/{job}/stop"}


def test_a_read_only_site_refuses_every_form_that_changes_the_catalogue(guest):
    changing = posted_addresses() - COMPUTES_ONLY
    assert len(changing) > 5
    for path in changing:
        answer = guest.post(path)
        assert answer.status_code == 403, path
        assert "may be read but not changed" in answer.text, path


def test_a_read_only_site_still_looks_for_licks(guest):
    answer = guest.post("/licks", {"limit": "1"})
    assert answer.status_code == 303
    assert guest.post(answer.headers["location"].partition("?")[0] + "/stop").status_code == 303


def test_a_read_only_site_shows_no_form_that_it_would_refuse(guest, saved_pages):
    deleting = [f"{path}/delete" for path in saved_pages]
    searched = "/find?form=notes&text=D4+E4+G4"
    for path in (*OWN_PAGES, searched, *saved_pages, *deleting):
        page = guest.get(path)
        assert page.status_code == 200, path
        assert set(FORMS.findall(page.text)) <= COMPUTES_ONLY, path
