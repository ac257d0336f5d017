"""Chromium without a window, for tests of pages; where there is none they are skipped."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

NAMES = ("chromium", "chromium-browser", "google-chrome")
WHY_SKIPPED = "no Chromium is installed: apt-get install chromium"
_FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --autoplay-policy=no-user-gesture-required"
)


@contextmanager
def chromium() -> Iterator["Browser"]:
    """Run the distribution's Chromium, or skip the test."""
    program = next(filter(None, map(shutil.which, NAMES)), None)
    if program is None:
        pytest.skip(WHY_SKIPPED)
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=program, args=_FLAGS.split())
        yield browser
        browser.close()


class OpenedFile:
    """A page opened from a file, with its errors and requests."""

    def __init__(self, page: "Page", path: Path) -> None:
        self.page = page
        self.errors: list[str] = []
        self.requests: list[str] = []
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", lambda request: self.requests.append(request.url))
        page.goto(path.as_uri())
