"""What scripts add to pages, and that nothing but sound and the neck is lost without them."""

import pytest

OFF = {"java_script_enabled": False}


def test_two_clicks_on_measures_tick_the_first_and_the_last(windows):
    page = windows.open("/songs/cinder-path")
    for number in (8, 6):
        page.locator(f"[data-measure='{number}']").first.click()
    ticked = page.locator("input[name=measure]:checked")
    assert [tick.get_attribute("value") for tick in ticked.all()] == ["6", "8"]
    assert page.locator("[data-measure].chosen").count() == 3
    assert page.url.endswith("#measures=6-8")


def test_the_measures_of_a_match_are_ready_to_be_played(windows):
    page = windows.open("/songs/cinder-path?measure=5&measure=6")
    assert page.get_by_role("textbox", name="Measures").input_value() == "5-6"


def test_one_bar_plays_each_of_the_pieces_of_a_page(windows):
    page = windows.open("/find?form=notes&text=D4+E4+G4+B4+A4+G4")
    page.locator(".player button").nth(1).click()
    bar = page.get_by_role("region", name="Player")
    assert bar.get_by_role("combobox", name="Hear").locator("option").count() == 4
    page.wait_for_selector("#match-2 ~ .beside .sounding", state="attached")
    page.locator(".player button").nth(0).click()
    page.wait_for_selector("#match-1 ~ .beside .sounding", state="attached")
    assert page.locator("#match-2 ~ .beside .sounding").count() == 0


@pytest.mark.parametrize("path", ["/find", "/find?form=notes&text=D4+E4+G4+B4+A4+G4"])
def test_a_place_picked_on_the_neck_sounds_its_pitch(windows, path):
    page = windows.open(path)
    page.evaluate(
        """() => { window.heard = []; const { strike } = melodexPlayer;
        melodexPlayer.strike = (clock, event, ...rest) => {
          heard.push(event.pitch); return strike(clock, event, ...rest); }; }"""
    )
    page.evaluate("document.querySelectorAll('details').forEach((each) => (each.open = true))")
    for place in ("1:0", "3:2", "5:7"):
        page.locator(f"[data-place='{place}']").click()
    page.wait_for_function("heard.length === 3")
    # Open G is g4 d3 g3 b3 d4, the fifth string's frets counted from the nut. Common practice.
    assert page.evaluate("heard") == [62, 57, 69]


def test_a_piece_is_played_by_a_button_above_its_music(windows):
    page = windows.open("/find?form=notes&text=D4+E4+G4+B4+A4+G4")
    article = page.locator("article").first
    button, music = (article.locator(each).first for each in (".player button", ".music"))
    assert button.bounding_box()["y"] < music.bounding_box()["y"]


def test_the_nearest_songs_come_when_they_are_scrolled_to(windows):
    page = windows.open("/songs/the-barley-loft")
    page.locator("#near").scroll_into_view_if_needed()
    page.wait_for_selector("section[data-fill] table")
    assert "The Barley Loft (rolled)" in page.locator("section[data-fill]").inner_text()


def test_a_song_that_has_the_focus_or_is_pointed_at_shows_its_own_arcs(windows):
    page = windows.open("/?words=barley")
    page.locator("#alike").scroll_into_view_if_needed()
    page.wait_for_selector(".arcs a")
    for show in (page.locator(".arcs a").first.focus, page.locator(".arcs li").last.hover):
        show()
        assert page.locator(".arcs path.own").count() == 1
        assert page.locator(".arcs li.own").count() == 2
    assert "is close to The Barley Loft" in page.locator(".near-to").inner_text()


def test_without_scripts_a_lick_is_found_all_the_same(windows):
    page = windows.open("/find", **OFF)
    page.fill("#text", "D4 E4 G4 B4 A4 G4")
    page.click("form.ask > p button")
    assert page.locator("article .music").count() == 10
    assert not page.locator("#neck").is_visible()
    assert not page.locator(".player").first.is_visible()


def test_without_scripts_a_song_is_arranged_and_downloaded(windows):
    page = windows.open("/songs/nearly-home/arrange", **OFF)
    page.select_option("#stage", "pinches")
    page.fill("#measures", "1-4")
    page.click("form button")
    page.wait_for_url("**stage=pinches**")
    assert page.locator("figure .music").count() == 2
    assert not page.locator(".player").first.is_visible()
    with page.expect_download() as download:
        page.click("a[download]:text-is('text tab')")
    assert download.value.suggested_filename == "nearly-home-arranged.tab"


def test_without_scripts_a_lick_is_placed(windows):
    page = windows.open("/place", **OFF)
    page.fill("#into", "unlatched")
    page.select_option("#form", "song")
    page.fill("#text", "cinder-path")
    page.fill("#measures", "5-6")
    page.click("form button")
    assert page.locator("article .music").count() == 6


def test_without_scripts_the_page_of_long_work_loads_itself_again(windows):
    page = windows.open("/licks", **OFF)
    page.click("main form button")
    page.wait_for_selector("h1:text-is('Licks that recur')")


def test_without_scripts_the_nearest_songs_are_a_link(windows):
    page = windows.open("/songs/the-barley-loft", **OFF)
    page.click("section[data-fill] a")
    assert page.locator("h1").inner_text() == "Songs most like The Barley Loft"


@pytest.fixture
def plan(windows):
    """The page of a plan of three lessons that was just read from a file, first song first."""
    page = windows.open("/saved")
    page.select_option("#kind", "plan")
    page.fill("#name", "To be dragged")
    songs = ("nearly-home", "the-gate-hinge", "unlatched")
    page.fill("#text", "".join(f'[[lesson]]\nsong = "{song}"\n' for song in songs))
    page.click("button:text-is('Save')")
    page.wait_for_selector("ol.lessons")
    yield page
    page.goto(f"{page.url.partition('#')[0]}/delete")
    page.click("button:text-is('Delete it')")
    page.wait_for_selector("h1:text-is('Saved plans, students and sets of songs')")


def _order(page):
    return [item.get_attribute("data-song") for item in page.locator("li[data-song]").all()]


@pytest.mark.parametrize(
    ("dragged", "target", "order"),
    [
        ("unlatched", "nearly-home", ["unlatched", "nearly-home", "the-gate-hinge"]),
        ("nearly-home", "unlatched", ["the-gate-hinge", "unlatched", "nearly-home"]),
    ],
)
def test_a_lesson_is_dragged_to_the_place_of_another_and_that_is_saved(
    plan, dragged, target, order
):
    plan.locator(f"[data-song={dragged}] h2").drag_to(plan.locator(f"[data-song={target}] h2"))
    plan.wait_for_function(
        "song => document.querySelector('li[data-song]').dataset.song === song", arg=order[0]
    )
    assert _order(plan) == order
    plan.reload()
    assert _order(plan) == order
    plan.click("button:text-is('Undo the last change')")
    plan.wait_for_selector("li[data-song=nearly-home]:first-child")


def test_titles_are_suggested_as_one_is_typed(windows):
    page = windows.open("/compare")
    page.locator("#a").press_sequentially("barley")
    page.wait_for_selector("#titles-0 option", state="attached")
    offered = page.locator("#titles-0 option").evaluate_all("all => all.map((one) => one.value)")
    assert offered == ["The Barley Loft", "The Barley Loft (rolled)"]
