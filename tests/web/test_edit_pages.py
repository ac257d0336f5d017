"""Forms that change what is known of songs: facts, corrections, removing, ticked songs, tables."""

import re

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.check_catalogue import back_up
from melodex.finder.collection.open_catalogue import open_catalogue
from tests.web.serving import Visitor, served

BOOK = """X:1
T:Slow Ferry
M:4/4
L:1/4
K:C
CDEF|GABc|

X:2
T:Low Bridge
M:3/4
L:1/4
K:G
GAB|dBG|
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """A site of two songs: its address, its catalogue, and a copy of that as it was at first."""
    folder = tmp_path_factory.mktemp("edited")
    (folder / "book.abc").write_text(BOOK, encoding="utf-8")
    path, copy = folder / "songs.db", folder / "first.db"
    with open_catalogue(path) as catalogue:
        add_songs(catalogue, [folder / "book.abc"])
        back_up(catalogue, copy)
    with served(path) as address:
        yield address, path, copy


@pytest.fixture
def teacher(site):
    """A visitor of that site, whose catalogue is as it was at first."""
    address, path, copy = site
    with open_catalogue(copy) as first:
        back_up(first, path)
    visitor = Visitor(address)
    yield visitor
    visitor.close()


def _facts_sent(page: str) -> dict[str, list[str]]:
    """The fields of the form of facts, as a browser would send them."""
    return {
        "column": re.findall(r'name="column" value="([^"]*)"', page),
        "cell": re.findall(r'name="cell" value="([^"]*)"', page),
    }


def _describe(teacher, **cells):
    form = _facts_sent(teacher.get("/songs/slow-ferry").text)
    assert len(form["column"]) == len(form["cell"])
    form["cell"] = [
        cells.get(column, cell) for column, cell in zip(form["column"], form["cell"], strict=True)
    ]
    return teacher.post("/songs/slow-ferry/describe", form)


def test_level_tags_and_remark_are_edited_on_the_songs_page(teacher):
    answer = _describe(teacher, level="2,5", tags="rolls; slides", remark="Mind the <F>")
    assert (answer.status_code, answer.headers["location"]) == (303, "/songs/slow-ferry")
    page = teacher.get("/songs/slow-ferry").text
    assert "level 2.5 · rolls, slides" in page
    assert "Remark: Mind the &lt;F&gt;" in page
    _describe(teacher, remark="")
    page = teacher.get("/songs/slow-ferry").text
    assert "level 2.5 · rolls, slides" in page
    assert "Remark:" not in page


def test_a_new_column_is_described_and_songs_are_chosen_by_it(teacher):
    form = {"new_column": "Term", "new_cell": "Autumn"}
    teacher.post("/songs/slow-ferry/describe", form)
    assert '<option value="term=Autumn">Autumn</option>' in teacher.get("/").text
    found = teacher.get("/", params={"where": "term=Autumn"}).text
    assert "Slow Ferry" in found
    assert "Low Bridge" not in found


def test_a_level_that_is_no_number_is_refused_above_the_form_as_it_was_sent(teacher):
    answer = _describe(teacher, level="hard", remark="Sing it first")
    assert answer.status_code == 400
    assert "is not a number" in answer.text
    assert 'name="cell" value="hard"' in answer.text
    assert 'name="cell" value="Sing it first"' in answer.text


def test_a_correction_is_made_shown_and_taken_back(teacher):
    form = {"title": "Slow Ferry", "key": "A minor", "metre": "3/4", "pickup": "1"}
    assert teacher.post("/songs/slow-ferry/correct", form).status_code == 303
    page = teacher.get("/songs/slow-ferry").text
    assert "A minor · 3/4" in page
    assert "Corrected by hand: key, metre, pickup." in page
    teacher.post("/songs/slow-ferry/correct/undo")
    page = teacher.get("/songs/slow-ferry").text
    assert "C major · 4/4" in page
    assert "Corrected by hand" not in page


def test_a_wrong_correction_is_refused_above_the_form_as_it_was_sent(teacher):
    form = {"title": "Slow Ferry", "key": "H flat", "metre": "4/4", "pickup": "0"}
    answer = teacher.post("/songs/slow-ferry/correct", form)
    assert answer.status_code == 400
    assert "is not a key" in answer.text
    assert 'value="H flat"' in answer.text


def test_a_song_is_removed_after_a_question(teacher):
    assert "<h1>Remove Slow Ferry?</h1>" in teacher.get("/songs/slow-ferry/remove").text
    assert teacher.get("/songs/slow-ferry").status_code == 200
    assert teacher.post("/songs/slow-ferry/remove").headers["location"] == "/"
    assert teacher.get("/songs/slow-ferry").status_code == 404


def test_ticked_songs_go_to_a_new_set_and_then_to_that_set(teacher):
    form = {"do": "set", "set_name": "Autumn", "song": "slow-ferry"}
    first = teacher.post("/ticked", form)
    second = teacher.post("/ticked", form | {"set_name": "AUTUMN", "song": "low-bridge"})
    assert first.status_code == 303
    assert second.headers["location"] == first.headers["location"]
    page = teacher.get(first.headers["location"]).text
    assert "A set of 2 songs" in page
    assert "<option>Autumn</option>" in teacher.get("/audit").text


def test_all_songs_of_a_list_are_taken_without_a_tick(teacher):
    form = {"do": "set", "set_name": "Waltzes", "all": "1", "metre": "3/4"}
    page = teacher.get(teacher.post("/ticked", form).headers["location"]).text
    assert "Low Bridge" in page
    assert "Slow Ferry" not in page


def test_ticked_songs_get_a_level_and_tags_beside_those_they_have(teacher):
    _describe(teacher, tags="rolls")
    form = {"do": "describe", "song": ["slow-ferry", "low-bridge"], "new_level": "3"}
    answer = teacher.post("/ticked", form | {"new_tags": "Rolls; slow", "sort": "level"})
    assert answer.headers["location"] == "/?sort=level"
    assert "level 3 · Rolls, slow" in teacher.get("/songs/slow-ferry").text
    assert "level 3 · Rolls, slow" in teacher.get("/songs/low-bridge").text


@pytest.mark.parametrize(
    ("form", "problem"),
    [
        ({"do": "set", "set_name": "Autumn"}, "No song is chosen"),
        ({"do": "set", "song": "slow-ferry"}, "The name is missing"),
        ({"do": "describe", "song": "slow-ferry"}, "There is nothing to describe"),
        ({"do": "describe", "song": "slow-ferry", "new_level": "x"}, "is not a number"),
        ({"do": "sing", "song": "slow-ferry"}, "cannot be done with songs"),
    ],
)
def test_what_cannot_be_done_with_ticked_songs_is_refused_and_the_ticks_stay(
    teacher, form, problem
):
    answer = teacher.post("/ticked", form)
    assert answer.status_code == 400
    assert problem in answer.text
    assert (" checked" in answer.text) == ("song" in form)


def test_songs_are_described_from_a_table(teacher):
    table = "title;level;term\nSlow Ferry;2;Autumn\nFast Ferry;1;Spring\n"
    answer = teacher.post("/describe", files={"table": ("levels.csv", table.encode())})
    assert "<h1>1 song described</h1>" in answer.text
    assert "Line 3, Fast Ferry: no song has this id or title; the nearest: " in answer.text
    assert "level 2" in teacher.get("/songs/slow-ferry").text


def test_a_wrong_table_changes_nothing_and_its_error_names_the_file_and_line(teacher):
    table = "title,level\nSlow Ferry,2\nLow Bridge,hard\n"
    answer = teacher.post("/describe", files={"table": ("levels.csv", table.encode())})
    assert answer.status_code == 400
    assert "levels.csv, line 3:" in answer.text
    assert "level 2" not in teacher.get("/songs/slow-ferry").text


def test_a_bundled_collection_that_is_not_there_is_refused(teacher):
    assert "<option>oneills1850</option>" in teacher.get("/add").text
    answer = teacher.post("/add/bundled", {"bundled": "../secret"})
    assert answer.status_code == 400
    assert "no bundled collection" in answer.text


@pytest.mark.parametrize(
    "path",
    [
        *(
            f"/songs/slow-ferry/{what}"
            for what in ("describe", "correct", "correct/undo", "remove")
        ),
        *("/ticked", "/describe", "/add/bundled"),
    ],
)
def test_a_form_of_another_server_changes_nothing(teacher, path):
    assert teacher.post(path, {"title": "x"}, token="").status_code == 403
