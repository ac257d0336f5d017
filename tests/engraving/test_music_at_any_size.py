"""Music in a window: as many measures a line as fit, scaling with the text."""

from importlib.resources import files

import pytest

from melodex.engraving.engrave_song import Look, engrave
from melodex.engraving.sound import PLAYER_SCRIPTS, Track, player_notes
from tests.tabs import rolled_songs, tab_of

STATIC = files("melodex.engraving") / "static"
# The number of measures on each line, from top to bottom.
LINES = """() => Object.values(Object.groupBy(
  [...document.querySelectorAll(".measure-box")], (box) => box.offsetTop))
  .map((line) => line.length)
"""
STAFF = "() => document.querySelector('.measure-box').offsetHeight"


@pytest.fixture(scope="module")
def sheet(browser, tmp_path_factory):
    """Return a song in rolls with its tab and player, in a window of its own."""
    song = rolled_songs()[0]
    tab = tab_of(song)
    engraving = engrave(song, tab=tab, look=Look("a"))
    notes = player_notes("Rolled", [Track("rolled", song, engraving)])
    style = (STATIC / "music.css").read_text(encoding="utf-8")
    script = "\n".join((STATIC / name).read_text(encoding="utf-8") for name in PLAYER_SCRIPTS)
    player = f'<div class="player"><script type="application/json">{notes}</script></div>'
    path = tmp_path_factory.mktemp("size") / "page.html"
    path.write_text(
        f"<!doctype html><meta name=viewport content='width=device-width'><title>Size</title>"
        f"<style>{style} html {{ font-size: 18px }} body {{ margin: 0.5rem }}</style>"
        f"<div class=score>{engraving.svg}</div>{player}<script>{script}</script>",
        encoding="utf-8",
    )
    page = browser.new_page()
    page.goto(path.as_uri())
    yield page
    page.close()


@pytest.fixture
def page(sheet):
    """Return the page in a window as wide as on a desktop."""
    sheet.evaluate("localStorage.clear()")
    sheet.set_viewport_size({"width": 1280, "height": 800})
    sheet.reload()
    return sheet


@pytest.mark.parametrize(("width", "fewest", "most"), [(320, 1, 2), (800, 2, 4), (1280, 4, 7)])
def test_a_line_has_as_many_measures_as_the_window_has_room_for(page, width, fewest, most):
    page.set_viewport_size({"width": width, "height": 800})
    *full, _ = page.evaluate(LINES)
    assert all(fewest <= count <= most for count in full)
    sideways = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(sideways) <= 0


def test_larger_letters_make_larger_music(page):
    before = page.evaluate(STAFF)
    page.evaluate("document.documentElement.style.fontSize = '36px'")
    assert page.evaluate(STAFF) == pytest.approx(2 * before, rel=0.02)


def test_frets_are_no_smaller_than_the_text_where_a_window_is_enlarged_fourfold(page):
    page.set_viewport_size({"width": 320, "height": 225})  # what 400 % leaves of 1280 by 900
    sizes = page.evaluate(
        """() => [...document.querySelectorAll(".tabGrp .note > text tspan[font-size]")].map(
          (text) => parseFloat(text.getAttribute("font-size")) * text.getScreenCTM().a)"""
    )
    assert sizes
    assert min(sizes) >= 18


def test_the_size_of_the_music_is_set_and_remembered(page):
    before = page.evaluate(STAFF)
    page.get_by_role("button", name="More").click()
    page.get_by_role("slider", name="Size of the music").fill("150")
    assert page.evaluate(STAFF) == pytest.approx(1.5 * before, rel=0.02)
    page.reload()
    assert page.evaluate(STAFF) == pytest.approx(1.5 * before, rel=0.02)


def test_clef_and_key_are_seen_where_a_line_begins_and_nowhere_else(page):
    page.set_viewport_size({"width": 800, "height": 800})
    seen = page.evaluate(
        """() => [...document.querySelectorAll(".measure-box")].map((box) => {
          box.scrollIntoView();
          const { left, top, width, height } = box.querySelector(".head").getBoundingClientRect();
          const on = document.elementFromPoint(left + width / 2, top + height / 2);
          return !on.closest(".bar");
        })"""
    )
    begins = [place == 0 for count in page.evaluate(LINES) for place in range(count)]
    assert seen == begins
