"""The commands that fill, list, describe and empty a catalogue."""

import json
import re
from pathlib import Path

import pytest

from melodex.finder.collection.add_songs import bundled_terms


def test_add_reports_songs_and_the_tune_it_could_not_read(run, book, tmp_path, monkeypatch):
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    book.write_text(book.read_text() + "\nX:4\nT:Broken Gate\nK:Zmaj\nABc|\n", encoding="utf-8")
    stopped = run("add", book, "--json")
    report = json.loads(stopped.out)
    assert stopped.code == 0
    assert report["added"] == 3
    (failure,) = report["failed"]
    assert failure["tune"].startswith("4")
    assert "key" in failure["reason"]


@pytest.mark.usefixtures("catalogue")
def test_adding_the_same_book_again_changes_nothing(run, book):
    report = json.loads(run("add", book, "--json").out)
    assert (report["added"], report["updated"], report["unchanged"]) == (0, 0, 3)


def test_add_exits_1_when_no_tune_is_in(run, tmp_path):
    rubbish = tmp_path / "noise.abc"
    rubbish.write_bytes(bytes(range(256)) * 20)
    stopped = run("add", rubbish, "--catalogue", tmp_path / "songs.db")
    assert stopped.code == 1
    assert "noise.abc" in stopped.err


@pytest.mark.parametrize(("others", "told"), [(0, "0 unchanged."), (2, "2 files of other kinds")])
def test_add_of_a_folder_without_music_says_what_was_skipped_and_what_is_read(
    run, tmp_path, others, told
):
    folder = tmp_path / "letters"
    folder.mkdir()
    for number in range(others):
        (folder / f"{number}.docx").touch()
    stopped = run("add", folder, "--catalogue", tmp_path / "songs.db")
    assert stopped.code == 1
    assert told in stopped.out
    assert "No song was found" in stopped.err
    assert ".musicxml" in stopped.err


def test_add_without_anything_to_add_exits_2(run, tmp_path):
    assert run("add", "--catalogue", tmp_path / "songs.db").code == 2


@pytest.mark.usefixtures("catalogue")
def test_songs_lists_what_is_known_and_null_where_nothing_is(run):
    rows = json.loads(run("songs", "--json").out)
    assert [row["song"] for row in rows] == [
        "harbour-lights-ahead", "the-weir-at-dawn", "the-weir-at-dusk",
    ]  # fmt: skip
    assert rows[2]["key"] == "G major"
    assert rows[2]["metre"] == "4/4"
    assert rows[2]["measures"] == 2
    assert rows[2]["notes"] == 13
    assert rows[2]["level"] is None


@pytest.mark.usefixtures("catalogue")
def test_songs_are_narrowed_by_words_and_sorted(run):
    rows = json.loads(run("songs", "weir", "--sort", "notes", "--json").out)
    assert [row["song"] for row in rows] == ["the-weir-at-dawn", "the-weir-at-dusk"]


@pytest.mark.usefixtures("catalogue")
def test_described_levels_filter_songs_and_survive_an_update(run, book, tmp_path):
    table = tmp_path / "levels.csv"
    table.write_text(
        "title,level,tags\nThe Weir at Dusk,2,rolls;evening\nHarbour Lights Ahead,4,\n"
        "No Such Song,1,\n",
        encoding="utf-8",
    )
    report = json.loads(run("describe", table, "--json").out)
    assert report["described"] == 2
    assert [line["song"] for line in report["unmatched"]] == ["No Such Song"]
    book.write_text(book.read_text().replace("G4:|", "G2D2:|"), encoding="utf-8")
    assert json.loads(run("add", book, "--json").out)["updated"] == 1
    rows = json.loads(run("songs", "--level", "1-3", "--json").out)
    assert [(row["song"], row["level"], row["tags"]) for row in rows] == [
        ("the-weir-at-dusk", 2.0, ["rolls", "evening"])
    ]


@pytest.mark.usefixtures("catalogue")
def test_a_removed_song_is_gone_until_its_file_is_added_again(run, book):
    assert run("remove", "harbour").code == 0
    assert len(json.loads(run("songs", "--json").out)) == 2
    assert len(json.loads(run("find", "--notes", "G4 A4 C5", "--json").out)) == 2
    run("add", book)
    assert len(json.loads(run("songs", "--json").out)) == 3


@pytest.mark.usefixtures("catalogue")
def test_an_empty_list_is_still_json_and_csv_with_a_header(run):
    assert json.loads(run("songs", "weir harbour", "--json").out) == []
    assert run("songs", "weir harbour", "--csv").out.startswith("song,title,")


@pytest.mark.usefixtures("catalogue")
def test_describe_exits_1_when_no_line_names_a_song_and_lists_the_nearest_titles(run, tmp_path):
    table = tmp_path / "levels.csv"
    table.write_text("title,level\nHarbor Lights Ahead,1\nPolka,2\n", encoding="utf-8")
    stopped = run("describe", table, "--json")
    report = json.loads(stopped.out)
    assert (stopped.code, report["described"]) == (1, 0)
    assert "harbour-lights-ahead (Harbour Lights Ahead)" in report["unmatched"][0]["reason"]
    assert report["unmatched"][1]["reason"] == "no song has this id or title"


@pytest.mark.parametrize("command", ["songs", "find --notes 'D4 E4'", "remove x", "describe x.csv"])
def test_a_file_that_is_no_catalogue_gets_a_sentence(run, tmp_path, command):
    path = tmp_path / "letter.db"
    path.write_text("Dear teacher, this is not a catalogue. " * 50, encoding="utf-8")
    words = command.replace("'D4 E4'", "D4_E4").split()
    stopped = run(*[word.replace("_", " ") for word in words], "--catalogue", path)
    assert stopped.code == 1
    assert "letter.db" in stopped.err
    assert "Next:" in stopped.err


def test_add_of_a_bundled_collection_says_once_where_its_terms_are(run, tmp_path):
    added = run(
        "add", "--bundled", "airdsAirs", "--bundled", "demos", "--catalogue", tmp_path / "db"
    )
    assert added.err.count("terms of their own") == 1
    (path,) = re.findall(r"see (\S+license\.txt)", added.err)
    # Source: music21 10.5.1, corpus/license.txt.
    assert "may not be used for commercial uses" in Path(path).read_text(encoding="utf-8")


def test_the_terms_of_a_collection_that_states_its_own_are_named_as_well():
    (general, own) = bundled_terms(["essenFolksong"])
    # Source: music21 10.5.1, corpus/essenFolksong/license.txt.
    assert "non-commercial distribution and use" in own.read_text(encoding="utf-8")
    assert general.parent == own.parent.parent
