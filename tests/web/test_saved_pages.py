"""What is saved: listed, opened, renamed, copied, deleted, as files and from them."""

import pytest

PLAIN = {"kind": "set", "name": "Autumn <term>", "text": "Cinder Path\nunlatched\n"}


@pytest.fixture
def autumn(visitor):
    """The address of a saved set, deleted afterwards."""
    answer = visitor.post("/saved", PLAIN)
    assert answer.status_code == 303, answer.text
    path = answer.headers["location"]
    yield path
    visitor.post(f"{path}/delete")


def test_a_set_is_listed_and_opened_under_its_name_which_is_escaped(visitor, autumn):
    assert "Autumn &lt;term&gt;</a>" in visitor.get("/saved").text
    page = visitor.get(autumn).text
    assert "<h1>Autumn &lt;term&gt;</h1>" in page
    assert 'href="/songs/cinder-path"' in page


def test_a_new_name_leaves_the_address(visitor, autumn):
    visitor.post(f"{autumn}/rename", {"name": "Spring"})
    assert "<h1>Spring</h1>" in visitor.get(autumn).text


def test_a_copy_has_a_name_and_an_address_of_its_own(visitor, autumn):
    copy = visitor.post(f"{autumn}/copy").headers["location"]
    assert copy != autumn
    assert "Autumn &lt;term&gt;, 2" in visitor.get(copy).text
    visitor.post(f"{copy}/delete")


def test_deleting_is_confirmed_on_a_page_of_its_own(visitor):
    path = visitor.post("/saved", PLAIN | {"name": "To delete"}).headers["location"]
    page = visitor.get(f"{path}/delete").text
    assert "<h1>Delete To delete?</h1>" in page
    assert f'action="{path}/delete"' in page
    visitor.post(f"{path}/delete")
    gone = visitor.get(path)
    assert gone.status_code == 404
    assert "may have been deleted" in gone.text


def test_a_set_is_downloaded_as_a_table_of_songs(visitor, autumn):
    answer = visitor.get(f"{autumn}/file")
    assert answer.text == "song\ncinder-path\nunlatched\n"
    assert answer.headers["content-disposition"] == 'attachment; filename="autumn-term.csv"'


def test_a_student_is_saved_from_a_file_under_its_name_and_changed(visitor):
    file = {"file": ("Ann.csv", b"song\nUnlatched\n")}
    path = visitor.post("/saved", {"kind": "student"}, files=file).headers["location"]
    assert "<h1>Ann</h1>" in visitor.get(path).text
    visitor.post(f"{path}/text", {"text": "song\nCinder Path\n"})
    assert visitor.get(f"{path}/file").text == "song\nCinder Path\n"
    visitor.post(f"{path}/undo")
    assert visitor.get(f"{path}/file").text == "song\nUnlatched\n"
    visitor.post(f"{path}/delete")


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"name": ""}, "The name is missing"),
        ({"kind": "spell"}, "cannot be saved"),
        ({"text": ""}, "The set is empty"),
        ({"text": "no such song at all"}, "The list of songs, line 1"),
        ({"kind": "plan", "text": "nonsense ="}, "this is not valid TOML"),
    ],
)
def test_what_cannot_be_saved_is_refused_above_the_form_as_it_was_sent(visitor, changes, sentence):
    sent = PLAIN | {"name": "Refused"} | changes
    answer = visitor.post("/saved", sent)
    assert answer.status_code == 400
    assert answer.text.index(sentence) < answer.text.index("<form")
    assert sent["text"] in answer.text


def test_a_name_that_is_taken_is_refused(visitor, autumn):
    answer = visitor.post(f"{autumn}/rename", {"name": "x" * 101})
    assert answer.status_code == 400
    assert "already" in visitor.post("/saved", PLAIN).text


def test_a_form_of_another_server_cannot_change_what_is_saved(visitor, autumn):
    for action in ("rename", "copy", "delete", "undo", "text", "order"):
        assert visitor.post(f"{autumn}/{action}", {"name": "x"}, token="").status_code == 403


def test_a_set_is_changed_by_the_titles_of_its_songs(visitor, autumn):
    page = visitor.get(autumn).text
    assert "song\nCinder Path\nUnlatched</textarea>" in page
    visitor.post(f"{autumn}/text", {"text": "song\nCinder Path\nThe Barley Loft"})
    assert visitor.get(f"{autumn}/file").text == "song\ncinder-path\nthe-barley-loft\n"
