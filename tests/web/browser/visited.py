"""Every kind of page, by a name, once for all tests of this process."""

import contextlib
import time
from functools import cache

import httpx

from tests.web.serving import LONGEST_WAIT, Visitor

PAGES = {
    "songs": "/",
    "add": "/add",
    "song": "/songs/cinder-path?measure=5&measure=6",
    "tab": "/songs/thimble-and-thread/tab?capo=2&count=1",
    "tab off the neck": "/songs/cinder-path/tab?octaves=3",
    "arrangement": "/songs/seven-swallows/arrange?count=1",
    "arrangement that cannot be": "/songs/seven-swallows/arrange?stage=melody&roll=forward",
    "place": "/place?into=letter-from-the-lock-keeper",
    "places": "/place?into=unlatched&form=song&text=cinder-path&measures=5-6&number=2&count=1",
    "near": "/songs/cinder-path/near",
    "alike": "/alike?tag=rolls",
    "find": "/find",
    "answers": "/find?form=notes&text=D4+E4+G4+B4+A4+G4",
    "licks": "/licks",
    "compare": "/compare?a=otter-under-the-bridge&b=the-barley-loft",
    "lessons": "/lessons",
    "student": "/student",
    "audit": "/audit",
    "saved": "/saved",
    "error": "/songs/no-such-song",
}
FORMS = {
    "list of licks": ("/licks", {"limit": "4"}),
    "plan": ("/lessons", {"tag": "warm-up", "lessons": "4", "seconds": "2"}),
    "student's answer": ("/student", {"student": "song\nUnlatched\n", "song": "the-gate-hinge"}),
    "audit's answer": ("/audit", {"tag": "rolls"}),
    "audit of two groups": ("/audit", {"level": "1-2", "against_level": "3-9"}),
    "failed work": ("/student", {"student": "song\nno such song\n"}),
    "saved set": ("/saved", {"kind": "set", "name": "Two", "text": "unlatched\ncinder-path"}),
    "saved student": (
        "/saved",
        {"kind": "student", "name": "Ida", "text": "taught 2020-01-06: Unlatched"},
    ),
    "stopped work": ("/lessons", {"seconds": "60"}),
}
FILES = {"files that could not be added": ("/add", [("files", ("stones.abc", "no tune at all"))])}
EVERY_PAGE = (*PAGES, *FORMS, *FILES)


@cache
def path_of(name: str, address: str) -> str:
    """Give the path of a page; where it is what came of long work, do the work first."""
    if name in PAGES:
        return PAGES[name]
    with contextlib.closing(Visitor(address)) as visitor:
        started = _started(visitor, name)
        if name == "stopped work":
            visitor.post(f"{started.headers['location'].partition('?')[0]}/stop")
        ended = visitor.outcome(started)
    shown: str = ended.headers.get("location", started.headers["location"])
    return shown


def _started(visitor: Visitor, name: str) -> httpx.Response:
    """Begin the work of a page, once the site has room for it among the work of other tests."""
    path, fields = FORMS.get(name, ("", {}))
    deadline = time.monotonic() + LONGEST_WAIT
    while True:
        if name in FILES:
            path, files = FILES[name]
            started = visitor.post(path, {}, files=files)
        else:
            started = visitor.post(path, fields)
        if started.status_code != httpx.codes.SERVICE_UNAVAILABLE:
            return started
        assert time.monotonic() < deadline, "the site stays busy"
        time.sleep(0.2)
