"""Every page in a real browser: accessible, in light and dark, narrow, enlarged, on paper."""

import pytest

from tests.web.browser.visited import EVERY_PAGE, path_of

axe_playwright = pytest.importorskip("axe_playwright_python.sync_playwright")

DESK = {"width": 1280, "height": 900}
TELEPHONE = {"width": 360, "height": 740}
ENLARGED = {"width": 640, "height": 450}  # what 200 % leaves of a desk's 1280 by 900
_SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize("name", EVERY_PAGE)
def test_axe_finds_nothing_on_any_page_in_light_and_in_dark(open_page, address, name):
    page = open_page(path_of(name, address), viewport=DESK)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = axe_playwright.Axe().run(page)
        assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", EVERY_PAGE)
def test_no_page_scrolls_sideways_on_a_telephone_or_at_200_percent(open_page, address, name):
    page = open_page(path_of(name, address), viewport=TELEPHONE)
    for size in (TELEPHONE, ENLARGED):
        page.set_viewport_size(size)
        page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
        assert page.evaluate(_SIDEWAYS) <= 0, size


@pytest.mark.parametrize("name", ["song", "answers", "compare", "plan", "audit's answer"])
def test_what_is_meant_for_a_music_stand_prints_to_paper(open_page, address, name):
    page = open_page(path_of(name, address), viewport=DESK)
    paper = page.pdf(format="A4")
    assert paper.startswith(b"%PDF")
    page.emulate_media(media="print")
    assert not page.locator("header").first.is_visible()
    assert page.locator("h1").is_visible()


@pytest.mark.parametrize("name", EVERY_PAGE)
def test_every_page_has_one_heading_one_content_and_a_way_past_the_menu(open_page, address, name):
    page = open_page(path_of(name, address), viewport=DESK)
    assert page.locator("h1").count() == 1
    assert page.locator("main").count() == 1
    page.keyboard.press("Tab")
    assert page.locator(".skip").evaluate("each => each === document.activeElement")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
