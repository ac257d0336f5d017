"""Windows on the served songbook, in the Chromium that all tests share."""

from typing import Any

import pytest

from tests.web.browser.visited import path_of
from tests.web.serving import LONGEST_WAIT

DESK = {"width": 1280, "height": 900}


class Windows:
    """Windows on one site, and what their pages complain of or ask of other hosts."""

    def __init__(self, browser, address) -> None:
        self._browser, self._address = browser, address
        self._contexts: list[Any] = []
        self.complaints: list[str] = []

    def open(self, path, **options):
        context = self._browser.new_context(
            base_url=self._address, **{"viewport": DESK, "color_scheme": "light"} | options
        )
        context.set_default_timeout(LONGEST_WAIT * 1000)
        self._contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._hear)
        page.on("request", self._see)
        page.goto(path)
        return page

    def close(self) -> None:
        for context in self._contexts:
            context.close()

    def _hear(self, message) -> None:
        if message.type == "error" and message.location["url"] != message.page.url:
            self.complaints.append(message.text)

    def _see(self, request) -> None:
        if not request.url.startswith(self._address):
            self.complaints.append(request.url)


@pytest.fixture
def windows(browser, address):
    """Windows of one test; it fails where a page complains or asks another host."""
    windows = Windows(browser, address)
    yield windows
    windows.close()
    assert windows.complaints == []


@pytest.fixture(scope="session")
def visit(browser, address):
    """Visit a page by its name; it is loaded once for all tests of it."""
    windows, pages = Windows(browser, address), {}

    def visit_one(name):
        if name not in pages:
            pages[name] = windows.open(path_of(name, address))
        page = pages[name]
        page.set_viewport_size(DESK)
        page.emulate_media(media="screen", color_scheme="light")
        assert windows.complaints == []
        return page

    yield visit_one
    windows.close()
