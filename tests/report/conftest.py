"""One browser for all tests of reports."""

import pytest

from tests.chromium import OpenedFile, chromium


@pytest.fixture(scope="session")
def browser():
    """Chromium, or a reason to skip."""
    with chromium() as running:
        yield running


@pytest.fixture
def opened(browser, tmp_path):
    """Open HTML as a file of its own, in a window that is closed after the test."""
    contexts = []

    def open_html(html, *, script_first="", **look):
        path = tmp_path / f"page{len(contexts)}.html"
        path.write_text(html, encoding="utf-8")
        context = browser.new_context(**look)
        contexts.append(context)
        page = context.new_page()
        if script_first:
            page.add_init_script(script_first)
        return OpenedFile(page, path)

    yield open_html
    for context in contexts:
        context.close()
