"""Files sent by a browser: read, kept, or refused with a sentence."""

import html
from pathlib import PurePosixPath

import pytest

from melodex.finder.collection.list_songs import list_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from melodex.web.guard import MOST_BYTES
from melodex.web.posted_forms import MOST_FILES
from melodex.web.refusals import Refusal
from melodex.web.uploads import LONGEST_NAME, plain_name

TUNE = "X:1\nT:{title}\nM:4/4\nL:1/8\nK:G\n|:DEGA BAGE|DEGA G4:|\n"
SCRIPT = "<script>alert(1)</script>"
PATH_TRICKS = ["../a.abc", "..\\a.abc", "/etc/a.abc", "C:a.abc", ".a.abc", "..", "a\x00b"]


def send(owner, *files, collection="evening class"):
    return owner.post(
        "/add",
        {"collection": collection},
        files=[("files", (name, content)) for name, content in files],
    )


def titles(own_catalogue) -> list[str]:
    with open_catalogue(own_catalogue) as catalogue:
        return [entry.title for entry in list_songs(catalogue)]


def test_a_file_that_is_sent_becomes_songs_of_the_collection_named(owner, own_catalogue):
    page = owner.outcome(send(owner, ("weir.abc", TUNE.format(title="The Weir"))))
    assert "1 added" in page.text
    with open_catalogue(own_catalogue) as catalogue:
        (entry,) = list_songs(catalogue)
    assert (entry.title, entry.collection) == ("The Weir", "evening class")


def test_a_file_sent_again_replaces_the_one_before(owner, own_catalogue):
    owner.outcome(send(owner, ("weir.abc", TUNE.format(title="The Weir"))))
    page = owner.outcome(send(owner, ("weir.abc", TUNE.format(title="The Weir at Dusk"))))
    assert "1 updated" in page.text
    assert titles(own_catalogue) == ["The Weir at Dusk"]


def test_a_title_that_is_a_script_is_shown_as_text_everywhere(owner):
    owner.outcome(
        send(owner, ("a.abc", TUNE.format(title=SCRIPT)), ("b.abc", TUNE.format(title="B")))
    )
    song = "/songs/script-alert-1-script"
    for path in ("/", song, f"{song}/near", f"/compare?a=b&b={song.rpartition('/')[2]}",
                 "/find?form=abc&text=DEGA+BAGE"):  # fmt: skip
        page = owner.get(path)
        assert page.status_code == 200, page.text
        assert "&lt;script&gt;alert(1)" in page.text
        assert SCRIPT not in page.text


def test_what_a_visitor_types_is_shown_as_text(visitor):
    for path in ("/?words=", "/find?form=notes&text=", "/compare?b=x&a=", "/songs?name="):
        assert SCRIPT not in visitor.get(path + SCRIPT).text


def test_a_broken_file_is_listed_with_its_reason_and_the_others_are_added(owner, own_catalogue):
    page = owner.outcome(
        send(owner, ("good.abc", TUNE.format(title="Good")), ("bad.mid", b"no MIDI at all"))
    )
    assert "bad.mid" in page.text
    assert "it looks like" in page.text
    assert titles(own_catalogue) == ["Good"]


@pytest.mark.parametrize("name", PATH_TRICKS)
def test_a_name_that_leads_out_of_the_folder_is_refused(name):
    with pytest.raises(Refusal, match="cannot be used as a name"):
        plain_name(name)


@pytest.mark.parametrize(("name", "collection"), [("../evil.abc", "class"), ("a.abc", "../../up")])
def test_a_path_trick_is_refused_with_a_sentence_and_writes_nothing(
    owner, own_catalogue, name, collection
):
    answer = send(owner, (name, TUNE), collection=collection)
    assert answer.status_code == 400
    assert "cannot be used as a name" in answer.text
    assert not list(own_catalogue.parent.rglob("*.abc"))


def test_a_file_that_is_not_music_is_refused_with_the_suffixes_that_can_be_read(owner):
    answer = send(owner, ("letter.pdf", b"%PDF"))
    assert answer.status_code == 400
    assert "is not a music file" in answer.text
    assert ".musicxml" in answer.text


@pytest.mark.parametrize("name", ["letter.pdf", "../evil.abc", ".hidden.abc", f"{'a' * 200}.abc"])
def test_a_name_that_is_refused_is_listed_and_the_other_files_are_added(owner, own_catalogue, name):
    page = owner.outcome(send(owner, (name, TUNE), ("good.abc", TUNE.format(title="Good"))))
    assert "1 added" in page.text
    refused = html.unescape(page.text.partition("Could not be read")[2])
    assert PurePosixPath(name).name[:40] in refused
    assert titles(own_catalogue) == ["Good"]


def test_of_two_files_of_one_name_the_first_is_read_and_the_second_listed(owner, own_catalogue):
    first, second = (TUNE.format(title=title) for title in ("First", "Second"))
    page = owner.outcome(send(owner, ("a.abc", first), ("A.ABC", second)))
    assert "was sent twice" in page.text
    assert titles(own_catalogue) == ["First"]


def test_files_are_written_only_when_their_reading_begins(owner, own_catalogue, monkeypatch):
    monkeypatch.setattr("melodex.web.jobs.MOST_AT_ONCE", 0)
    answer = send(owner, ("weir.abc", TUNE.format(title="The Weir")))
    assert answer.status_code == 503
    assert not list(own_catalogue.parent.rglob("*.abc*"))


def test_the_form_states_what_may_be_sent_at_once(visitor):
    page = visitor.get("/add").text
    assert f"{MOST_FILES} files" in page
    assert f"{MOST_BYTES // 1_000_000} MB" in page
    assert f"{LONGEST_NAME} characters" in page


def test_sending_no_file_is_refused_with_a_sentence(owner):
    answer = owner.post("/add", {"collection": "class"})
    assert answer.status_code == 400
    assert "No file was sent" in answer.text


def test_an_empty_catalogue_says_how_to_begin(owner):
    page = owner.get("/").text
    assert "empty" in page
    assert 'href="/add"' in page


def test_what_was_noticed_about_a_song_is_listed_under_its_title(owner):
    tune = "X:1\nT:The Weir at Dusk\nP:AB\nL:1/8\nK:G\nP:A\nDEGA BAGE|\n"  # no part B
    page = owner.outcome(send(owner, ("weir.abc", tune))).text
    assert '<a href="/songs/the-weir-at-dusk">The Weir at Dusk</a>: ' in page
