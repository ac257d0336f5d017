"""Reports of the songbook in Chromium: whole in themselves, readable everywhere, printed right."""

import io

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.demo import add_songbook
from melodex.finder.reports.report_audit import report_audit
from melodex.finder.reports.report_lick import report_lick
from melodex.finder.reports.report_pair import report_pair
from melodex.finder.reports.report_plan import report_plan
from melodex.index.store import open_catalogue
from melodex.report.evidence_words import NO_LEGAL_OPINION
from melodex.search.query import lick_from_song

HOSTILE = "<script>document.title='taken'</script><b>Gate</b>"
# Cinder Path's second part under a title that would be a script if it were not escaped.
BOOK = f"X:1\nT:{HOSTILE}\nM:4/4\nL:1/4\nK:C\nC_E/=E/GA|G_E/=E/C2|FAcA|G2G2|C_E/=E/GA|G_E/=E/C2|\n"
PLANNED = ("bell-without-a-clapper", "cinder-path", "ropewalk-march", "apples-on-the-sill-rolled")
KINDS = ("plan", "lick", "pair", "audit")
LOOKS = [("light", 1280), ("dark", 360)]
SCROLLS_SIDEWAYS = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """The songbook and a song with a hostile title, and a plan of some of them."""
    folder = tmp_path_factory.mktemp("book")
    (folder / "gate.abc").write_text(BOOK, encoding="utf-8")
    with open_catalogue(folder / "songs.db", create=True) as catalogue:
        add_songbook(catalogue)
        add_songs(catalogue, [folder / "gate.abc"])
        (hostile,) = [song for song, title in catalogue.titles() if title == HOSTILE]
        lessons = "".join(f'[[lesson]]\nsong = "{song}"\n' for song in (*PLANNED, hostile))
        (folder / "plan.toml").write_text(lessons, encoding="utf-8")
        yield catalogue, folder / "plan.toml", hostile


@pytest.fixture(scope="module")
def reports(book):
    """One report of each kind, by its name."""
    catalogue, plan, hostile = book
    lick = lick_from_song(catalogue, "cinder-path", measures=(5, 7))
    return {
        "plan": report_plan(catalogue, plan),
        "lick": report_lick(catalogue, lick, limit=6),
        "pair": report_pair(catalogue, "cinder-path", hostile),
        "audit": report_audit(catalogue),
    }


@pytest.mark.parametrize("kind", KINDS)
def test_a_report_makes_no_request_and_runs_without_error(reports, opened, kind):
    file = opened(reports[kind])
    assert file.errors == []
    asked = [url for url in file.requests if not url.startswith("data:")]
    assert len(asked) == 1  # the file itself
    assert asked[0].startswith("file:")


def test_a_report_counts_the_beats_only_where_it_is_to(book, reports):
    catalogue, plan, _ = book
    lick = lick_from_song(catalogue, "cinder-path", measures=(5, 7))
    counted = {
        "plan": report_plan(catalogue, plan, count=True),
        "lick": report_lick(catalogue, lick, limit=2, count=True),
        "pair": report_pair(catalogue, "cinder-path", "cinder-path", count=True),
    }
    assert [kind for kind, report in counted.items() if "hand count" not in report] == []
    assert [kind for kind in counted if "hand count" in reports[kind]] == []


@pytest.mark.parametrize(("scheme", "width"), LOOKS)
@pytest.mark.parametrize("kind", KINDS)
def test_a_report_has_no_barrier_that_axe_knows(reports, opened, kind, scheme, width):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    look = {"color_scheme": scheme, "viewport": {"width": width, "height": 800}}
    page = opened(reports[kind], **look).page
    found = axe.Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"]) for each in found] == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_report_does_not_scroll_sideways_on_a_telephone_or_at_200_percent(reports, opened, kind):
    page = opened(reports[kind]).page
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    for width in (360, 640):  # the latter is a window of 1280 pixels, everything twice as large
        page.set_viewport_size({"width": width, "height": 800})
        assert not page.evaluate(SCROLLS_SIDEWAYS)


@pytest.mark.parametrize("kind", KINDS)
def test_a_report_is_read_without_a_script(reports, opened, kind):
    with_script, without = (
        opened(reports[kind], java_script_enabled=enabled).page for enabled in (True, False)
    )
    words = set(without.locator("main").inner_text().split())
    assert words >= set(without.locator("h1, h2, figcaption").all_inner_texts()[0].split())
    assert without.locator(".music").count() == with_script.locator(".music").count()
    assert without.locator(".player:visible, .player-bar").count() == 0


def test_titles_with_markup_are_shown_as_text(reports, opened):
    for kind in ("plan", "pair"):
        page = opened(reports[kind]).page
        assert page.title() != "taken"
        assert HOSTILE in page.locator("main").inner_text()
        assert page.locator("main script:not([type='application/json'])").count() == 0


def test_a_plan_is_printed_on_a_sheet_for_itself_one_for_each_lesson_and_one_for_its_song(
    reports, opened
):
    pypdf = pytest.importorskip("pypdf")
    printed = opened(reports["plan"]).page.pdf(prefer_css_page_size=True)
    sheets = [sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(printed)).pages]
    lessons = len(PLANNED) + 1
    assert len(sheets) == 1 + 2 * lessons
    for lesson, (sheet, song) in enumerate(zip(sheets[1::2], sheets[2::2], strict=True), start=1):
        assert f"Lesson {lesson} of {lessons}" in sheet
        assert "What to practise" in sheet
        assert "the whole song" in song


def test_a_song_that_is_closed_on_the_screen_is_not_printed(reports, opened):
    pypdf = pytest.importorskip("pypdf")
    page = opened(reports["plan"]).page
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = false; })")
    printed = page.pdf(prefer_css_page_size=True)
    assert len(pypdf.PdfReader(io.BytesIO(printed)).pages) == 2 + len(PLANNED)


def test_a_sheet_says_what_is_new_where_it_comes_back_and_what_is_known(reports, opened):
    page = opened(reports["plan"]).page
    first, second = (page.locator(f"#lesson-{n}").inner_text() for n in (1, 2))
    assert "Where it comes back" in first
    assert "in lesson 2, Cinder Path" in first
    assert "you know it from lesson 1" in second
    assert "Learn A (" in second


@pytest.mark.parametrize("kind", ["lick", "pair", "audit"])
def test_where_a_score_is_shown_it_is_defined_with_its_chance_level_and_no_legal_opinion(
    reports, opened, kind
):
    text = " ".join(opened(reports[kind]).page.locator("main").inner_text().split())
    assert NO_LEGAL_OPINION in text
    assert "A score of 1 is the same notes in the same rhythm" in text
    assert "By chance" in text


def test_a_lick_is_above_the_notes_that_match_it_and_both_are_marked(reports, opened):
    page = opened(reports["lick"]).page
    places = page.locator("section[id^='place-']")
    assert places.count() == 6
    for place in places.all():
        assert place.locator(".music").count() == 2
        assert place.locator(".bracket.mark-a").count() >= 2
        assert place.get_by_role("button").count() == 1
    assert page.locator("pre").first.inner_text().startswith("measure")


def test_shared_phrases_are_marked_by_the_same_letters_in_both_songs(reports, opened):
    page = opened(reports["pair"]).page
    whole = page.locator("section.sheet .music")
    letters = [set(song.locator(".letter").all_inner_texts()) for song in whole.all()]
    assert len(letters) == 2
    assert letters[0] == letters[1] != set()


def test_an_audit_has_its_plots_with_a_text_for_those_who_do_not_see_them(reports, opened):
    plots = opened(reports["audit"]).page.locator("img.plot")
    assert plots.count() == 2
    for plot in plots.all():
        assert plot.evaluate("(image) => image.complete && image.naturalWidth > 0")
        assert plot.get_attribute("alt")


def test_the_same_songs_give_the_same_report(book, reports):
    catalogue, plan, _ = book
    assert report_plan(catalogue, plan) == reports["plan"]
