"""Every page in a real browser: accessible, in light and dark, narrow, enlarged, on paper."""

import pytest

from tests.web.browser.visited import EVERY_PAGE

axe_playwright = pytest.importorskip("axe_playwright_python.sync_playwright")

TELEPHONE = {"width": 360, "height": 740}
ENLARGED = {"width": 640, "height": 450}  # what 200 % leaves of 1280 by 900
OPEN_ALL = "document.querySelectorAll('details').forEach((each) => (each.open = true))"
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.mark.parametrize("name", EVERY_PAGE)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_no_barrier_on_any_page_in_light_and_in_dark(visit, name, scheme):
    page = visit(name)
    page.evaluate(OPEN_ALL)
    page.emulate_media(color_scheme=scheme)
    found = axe_playwright.Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_no_barrier_while_work_is_going_on(windows, visitor, scheme):
    work = visitor.post("/lessons", {"seconds": "60"}).headers["location"]
    page = windows.open(work, color_scheme=scheme)
    found = axe_playwright.Axe().run(page)
    assert page.locator("#progress").count() == 1
    visitor.post(f"{work}/stop")
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", EVERY_PAGE)
@pytest.mark.parametrize("size", [TELEPHONE, ENLARGED], ids=["telephone", "200 percent"])
def test_no_page_scrolls_sideways_on_a_telephone_or_at_200_percent(visit, name, size):
    page = visit(name)
    page.evaluate(OPEN_ALL)
    page.set_viewport_size(size)
    assert page.evaluate(SIDEWAYS) <= 0


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("song", ".music"),
        ("tab", ".music"),
        ("arrangement", "#before ~ figure .music"),
        ("places", "article .music"),
        ("answers", "article .music"),
        ("compare", "article .music"),
        ("list of licks", "article .music"),
        ("plan", "ol.lessons h2"),
        ("student's answer", "table"),
        ("audit's answer", "figure img"),
    ],
)
def test_what_a_page_tells_is_printed_and_its_controls_are_not(visit, name, printed):
    page = visit(name)
    page.emulate_media(media="print")
    assert page.locator("h1").is_visible()
    assert page.locator(printed).first.is_visible()
    assert not page.locator("nav").first.is_visible()
    assert page.locator("button:visible, input:visible, select:visible").count() == 0
    assert page.pdf(format="A4").startswith(b"%PDF")


@pytest.mark.parametrize("name", EVERY_PAGE)
def test_every_page_has_one_heading_and_a_way_past_the_menu(visit, name):
    page = visit(name)
    page.reload()
    assert page.locator("h1").count() == page.locator("main").count() == 1
    page.keyboard.press("Tab")
    assert page.locator(".skip").evaluate("each => each === document.activeElement")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
