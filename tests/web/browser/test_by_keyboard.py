"""The main paths by keyboard alone: what has the focus is always seen, and Tab reaches it."""

from melodex.report.typesetting import typeset
from tests.web.test_adding import TUNE

MOST_TABS = 150


def tab_to(page, selector):
    """Press Tab until what is meant has the focus."""
    wanted = page.locator(selector).first
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if wanted.evaluate("each => each === document.activeElement"):
            outline = wanted.evaluate("each => getComputedStyle(each).outlineStyle")
            assert outline != "none", f"the focus is not seen on {selector}"
            return
    raise AssertionError(f"Tab does not reach {selector}")


def press_button(page, selector):
    tab_to(page, selector)
    page.keyboard.press("Enter")


def test_a_song_is_searched_for_and_opened(windows):
    page = windows.open("/")
    tab_to(page, "#words")
    page.keyboard.type("weir")
    page.keyboard.press("Enter")
    page.wait_for_url("**words=weir**")
    press_button(page, "tbody a")
    page.wait_for_url("**/songs/weir-in-spate")


def test_a_lick_is_typed_and_its_answers_are_read(windows):
    page = windows.open("/find")
    tab_to(page, "#text")
    page.keyboard.type("D4 E4 G4 B4 A4 G4")
    press_button(page, "form.ask > p button")
    page.wait_for_selector("#results")
    press_button(page, "a[href='#match-1']")
    assert page.locator("#match-1").is_visible()


def test_notes_are_picked_on_the_neck(windows):
    page = windows.open("/find")
    press_button(page, "#board summary")
    tab_to(page, "[data-place='1:0']")
    for key in ("Enter", "ArrowRight", "ArrowRight", "Enter", "ArrowDown", "Space"):
        page.keyboard.press(key)
    assert page.locator("#text").input_value() == "1:0:e 1:2:e 2:2:e"
    assert page.locator("[data-place='2:2']").get_attribute("aria-pressed") == "true"
    press_button(page, "#take-back")
    assert page.locator("#text").input_value() == "1:0:e 1:2:e"


def test_the_neck_has_no_frets_below_the_short_string(windows):
    page = windows.open("/find")
    press_button(page, "#board summary")
    tab_to(page, "[data-place='1:0']")
    for key in ("ArrowRight", *["ArrowDown"] * 4):
        page.keyboard.press(key)
    assert page.evaluate("document.activeElement.dataset.place") == "4:1"


def test_measures_are_ticked_and_looked_for(windows):
    page = windows.open("/songs/cinder-path")
    for measure in (5, 6):
        tab_to(page, f"input[name=measure][value='{measure}']")
        page.keyboard.press("Space")
    assert page.locator("[data-measure].chosen").count() == 2
    press_button(page, "form.measures button")
    page.wait_for_selector(typeset("text=Songs that match Cinder Path, measures 5-6"))


def test_a_song_is_played_and_the_note_that_sounds_is_marked(windows):
    page = windows.open("/songs/cinder-path")
    press_button(page, ".player-bar .play")
    page.wait_for_selector(".music .sounding", state="attached")


def test_a_song_is_arranged_and_the_arrangement_is_played(windows):
    page = windows.open("/songs/nearly-home")
    press_button(page, "a[href$='/arrange']")
    tab_to(page, "#stage")
    page.keyboard.type("roll")
    press_button(page, "form button")
    page.wait_for_url("**stage=roll**")
    press_button(page, "#after ~ figure .player button")
    page.wait_for_selector("#after ~ figure .music .sounding", state="attached")


def test_a_lick_is_carried_from_a_song_into_another(windows):
    page = windows.open("/songs/cinder-path?measure=5&measure=6")
    press_button(page, "button[formaction='/place']")
    page.wait_for_url("**/place?**")
    tab_to(page, "#into")
    page.keyboard.type("unlatched")
    page.keyboard.press("Enter")
    page.wait_for_selector("#place-1")
    press_button(page, "article a[href*='number=1']")
    page.wait_for_selector("#whole")


def test_a_plan_is_made_and_put_into_another_order(windows):
    page = windows.open("/lessons")
    tab_to(page, "#tag")
    page.keyboard.type("warm-up")
    tab_to(page, "#lessons")
    page.keyboard.type("3")
    tab_to(page, "#seconds")
    page.keyboard.press("Control+A")
    page.keyboard.type("2")
    press_button(page, "form > p:last-child button")
    page.wait_for_selector("ol.lessons")
    before = page.locator("ol.lessons h2 a").all_inner_texts()
    press_button(page, "button[value^='down:']")
    page.wait_for_selector("ol.lessons > li:first-child button[value^='up:']:disabled")
    page.wait_for_function(
        "title => document.querySelector('h2 a').innerText === title", arg=before[1]
    )
    page.wait_for_function("() => document.activeElement.value?.startsWith('down:')")
    after = page.locator("ol.lessons h2 a").all_inner_texts()
    assert after == [before[1], before[0], before[2]]


def test_long_work_is_stopped(windows):
    page = windows.open("/lessons")
    press_button(page, "form > p:last-child button")
    page.wait_for_selector("progress")
    press_button(page, "main form button")
    page.wait_for_selector("text=Stopped after")


def test_a_file_is_added(browser, owner, tmp_path):
    book = tmp_path / "weir.abc"
    book.write_text(TUNE.format(title="The Weir"), encoding="utf-8")
    page = browser.new_page(base_url=owner.address)
    page.goto("/add")
    tab_to(page, "#files")
    page.locator("#files").set_input_files(book)  # the system's own dialog is not the page's
    press_button(page, "main form button")
    page.wait_for_selector("text=1 added")
    page.close()
