"""Settings of all tests."""

from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests.chromium import OpenedFile, chromium

# No test is timed, since a busy machine must not make one fail.
settings.register_profile(
    "melodex", deadline=None, suppress_health_check=[HealthCheck.too_slow], max_examples=20
)
settings.load_profile("melodex")

# The benchmarks are run by hand; some import peers that only the benchmarks extra installs.
collect_ignore_glob = ["benchmarks/[!t]*.py"]


@pytest.fixture(scope="session")
def browser():
    """Chromium, one for all tests; without it they are skipped."""
    with chromium() as running:
        yield running


@pytest.fixture
def opened(browser, tmp_path):
    """Open HTML as a file of its own, in a window that is closed after the test."""
    contexts: list[Any] = []

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
