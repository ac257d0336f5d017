"""How many clicks the main jobs take, by mouse, by keyboard, and without scripts."""

from pathlib import Path

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.finder.teaching.own_work import save_text
from melodex.model.saved_work import WorkKind
from tests.web.serving import LONGEST_WAIT

BOOK = """\
X:1
T:Ferry Lane
M:4/4
L:1/8
K:G
DEGA BAGE|DEGA B4|cBAG EDEG|A4 G4|

X:2
T:Cold Hearth
M:3/4
L:1/4
K:D
d2 f|e d B|A3|F2 A|d3|
"""
WAYS = ("mouse", "keyboard", "no scripts")


class Hand:
    """Somebody at a page, whose clicks are counted; typing a name is none."""

    def __init__(self, page, way: str) -> None:
        self.page, self.clicks = page, 0
        self._by_keyboard = way.startswith("keyboard")

    def click(self, selector: str, key: str = "Enter") -> None:
        self.clicks += 1
        meant = self.page.locator(selector).first
        if self._by_keyboard:
            meant.focus()
            self.page.keyboard.press(key)
        else:
            meant.click()


@pytest.fixture
def hand_at(browser):
    """Somebody at a page of a site."""
    contexts = []

    def hand(address, path, way):
        context = browser.new_context(
            base_url=address, java_script_enabled="no scripts" not in way, accept_downloads=True
        )
        context.set_default_timeout(LONGEST_WAIT * 1000)
        contexts.append(context)
        page = context.new_page()
        page.goto(path)
        return Hand(page, way)

    yield hand
    for context in contexts:
        context.close()


@pytest.mark.parametrize("way", WAYS)
def test_from_a_songbook_to_a_term_plan_ready_to_print_in_seven(hand_at, owner, tmp_path, way):
    book = tmp_path / "book.abc"
    book.write_text(BOOK, encoding="utf-8")
    hand = hand_at(owner.address, "/", way)
    hand.click("main a[href='/add']")
    hand.clicks += 1  # on the field of files, whose dialog is the system's
    hand.page.locator("#files").set_input_files(book)
    hand.click("main form button")
    hand.page.wait_for_selector("text=2 added")
    hand.click("nav a[href='/lessons']")
    hand.click("text='Plan'")
    hand.page.wait_for_url("**/saved/**")
    hand.click("[name=do][value=handouts]")
    with hand.page.expect_download() as handouts:
        hand.click("text='Save the handouts'")
    # The eighth is to print the file, in the browser's own window.
    assert "Cold Hearth" in Path(handouts.value.path()).read_text(encoding="utf-8")
    assert hand.clicks <= 7


@pytest.mark.parametrize("way", WAYS)
def test_a_lick_is_looked_for_by_its_measures_in_three(hand_at, address, way):
    hand = hand_at(address, "/songs/cinder-path", way)
    for measure in (5, 6):
        hand.click(f"[name=measure][value='{measure}']", "Space")
    hand.click("form.measures button")
    hand.page.wait_for_selector("text=Songs that match Cinder Path")
    assert hand.clicks == 3


def test_three_measures_are_looped_slowly_in_three(hand_at, address):
    hand = hand_at(address, "/songs/cinder-path", "mouse")
    for measure in (6, 8):
        hand.click(f"[data-measure='{measure}'] .measure-area")
    hand.click("text='Slowly'")
    assert hand.page.get_by_label("Loop", exact=True).is_checked()
    assert hand.page.get_by_role("textbox", name="Measures").input_value() == "6-8"
    hand.page.wait_for_selector(".sounding")
    assert hand.clicks == 3


@pytest.mark.parametrize("way", WAYS)
def test_a_song_is_arranged_and_kept_as_a_file_in_two(hand_at, address, way):
    hand = hand_at(address, "/songs/seven-swallows", way)
    hand.click("text='Arrange it in rolls'")
    with hand.page.expect_download() as file:
        hand.click("text='MusicXML'")
    assert file.value.suggested_filename.endswith(".musicxml")
    assert hand.clicks == 2


@pytest.mark.parametrize("way", WAYS)
def test_what_a_student_should_learn_next_is_four_clicks_from_anywhere(
    hand_at, address, visitor, way
):
    saved = {"kind": "student", "name": f"Eve, {way}", "text": "Unlatched"}
    path = visitor.post("/saved", saved).headers["location"]
    hand = hand_at(address, "/audit", way)
    hand.click("nav a[href='/saved']")
    hand.click(f"a[href='{path}']")
    hand.click("text='What comes next'")
    assert hand.page.locator("#saved_student").input_value() == path.rpartition("/")[2]
    hand.click("text='Show what comes next'")
    hand.page.wait_for_selector("text=Songs that come nearest")
    assert hand.clicks == 4
    visitor.post(f"{path}/delete")


@pytest.mark.parametrize("way", WAYS)
def test_a_lesson_of_a_plan_is_noted_as_taught_in_three_from_anywhere(
    hand_at, owner, own_catalogue, tmp_path, way
):
    (tmp_path / "book.abc").write_text(BOOK, encoding="utf-8")
    with open_catalogue(own_catalogue) as catalogue:
        add_songs(catalogue, tmp_path)
        save_text(catalogue, WorkKind.STUDENT, "Ida", "Ferry Lane")
        save_text(catalogue, WorkKind.PLAN, "For Ida", '[[lesson]]\nsong = "cold-hearth"')
    hand = hand_at(owner.address, "/", way)
    hand.click("nav a[href='/saved']")
    hand.click("text='For Ida'")
    hand.click("[form=taught]")
    hand.page.wait_for_selector("text=Taught on")
    assert hand.clicks == 3
