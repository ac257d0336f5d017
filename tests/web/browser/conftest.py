"""Chromium without a window; where there is none, the tests here are skipped and say so."""

import shutil

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         "--autoplay-policy=no-user-gesture-required"]  # fmt: skip


@pytest.fixture(scope="session")
def browser():
    """A browser for all tests."""
    program = next(filter(None, map(shutil.which, NAMES)), None)
    if program is None:
        pytest.skip("no Chromium is installed: apt-get install chromium")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as running:
        chromium = running.chromium.launch(executable_path=program, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def open_page(browser, address):
    """Open pages of the songbook; what a page complains of or asks of other hosts fails a test."""
    contexts, complaints = [], []

    def told(message):
        if message.type == "error" and message.location["url"] != message.page.url:
            complaints.append(message.text)

    def asked(request):
        if not request.url.startswith(address):
            complaints.append(request.url)

    def open_one(path="/", **options):
        context = browser.new_context(base_url=address, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", told)
        page.on("request", asked)
        page.goto(path)
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert complaints == []
