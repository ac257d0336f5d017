"""Pages as Chromium prints them: music first, nothing cut, nothing of the site around it."""

import io

import pytest

from tests.web.browser.visited import PAGES

pypdf = pytest.importorskip("pypdf")
# Words at the upper and lower edge of every measure, by which its sheets are known.
MARK_EDGES = """() => document.querySelectorAll(".measure-box .bar").forEach((bar, number) => {
  const { x, y, height } = bar.viewBox.baseVal;
  for (const [word, down] of [["upper", 150], ["lower", height - 20]]) {
    const text = document.createElementNS("http://www.w3.org/2000/svg", "text");
    text.textContent = `${word}${number}`;
    text.setAttribute("class", "edge");
    text.setAttribute("x", x);
    text.setAttribute("y", y + down);
    text.setAttribute("font-size", "150px");
    bar.append(text);
  }
})"""
UNMARK = "() => document.querySelectorAll('.edge').forEach((text) => text.remove())"
WITH_MUSIC = ("song", "tab", "arrangement", "places", "answers", "compare")


def sheets_of(page):
    """Print a page; return the words of each sheet."""
    page.emulate_media(media="print")
    printed = page.pdf(prefer_css_page_size=True)
    return [sheet.extract_text().split() for sheet in pypdf.PdfReader(io.BytesIO(printed)).pages]


@pytest.mark.parametrize("name", WITH_MUSIC)
def test_no_line_of_music_is_cut_by_the_edge_of_a_sheet(visit, name):
    page = visit(name)
    page.evaluate(MARK_EDGES)
    sheets = sheets_of(page)
    page.evaluate(UNMARK)
    measures = page.locator(".measure-box").count()
    upper, lower = (
        [
            next((number for number, sheet in enumerate(sheets) if f"{word}{one}" in sheet), None)
            for one in range(measures)
        ]
        for word in ("upper", "lower")
    )
    assert measures > 0
    assert upper == lower
    assert None not in upper


@pytest.mark.parametrize("name", ["song", "tab", "arrangement"])
def test_a_song_begins_on_the_first_sheet_and_its_title_stands_above_it(visit, name):
    page = visit(name)
    page.evaluate(MARK_EDGES)
    first, *_ = sheets_of(page)
    page.evaluate(UNMARK)
    title = page.locator("h1").inner_text()
    assert " ".join(first).startswith(title)
    assert "upper0" in first


@pytest.mark.parametrize("name", [*WITH_MUSIC, "plan", "audit's answer"])
def test_the_site_around_a_page_is_not_printed(visit, name):
    sheets = sheets_of(visit(name))
    for words in ("Find a lick Licks", "Play slowly", "Measures all", "Download"):
        assert not any(words in " ".join(sheet) for sheet in sheets)


def test_a_song_of_sixteen_measures_takes_one_sheet(visit):
    assert PAGES["song"].startswith("/songs/cinder-path")
    page = visit("song")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = false; })")
    assert len(sheets_of(page)) == 1
