"""The commands `known` and `next`."""

import csv
import io
import json

import pytest

from tests.invented_tunes import TUNE, VERSION, book

SAME_BEGINNING = [*TUNE[:2], *["G8", "A8", "B8", "c8", "d8", "G8"]]


@pytest.fixture
def catalogue(tmp_path, run, monkeypatch):
    """A tune, a version of it, and one that begins alike."""
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    tunes = [("Slate Yard", "G", TUNE), ("Slate Yard Again", "G", VERSION)]
    path = tmp_path / "book.abc"
    path.write_text(book(*tunes, ("Long Notes", "G", SAME_BEGINNING)), encoding="utf-8")
    assert run("add", path).code == 0
    return path


@pytest.fixture
def student(catalogue):
    path = catalogue.with_name("ann.csv")
    path.write_text("slate-yard\n", encoding="utf-8")
    return path


def test_known_has_the_keys_of_the_interface(run, student):
    known = json.loads(run("known", "Again", "--student", student, "--json").out)
    assert known["song"] == "slate-yard-again"
    assert known["share"] == pytest.approx(22 / 24, abs=0.01)
    first, sixth = known["measures"][0], known["measures"][5]
    assert {"measure", "beats", "known_beats", "known_from"} <= set(first)
    assert (first["known_beats"], first["beats"]) == (4, 4)
    assert first["known_from"][0]["song"] == "slate-yard"
    assert (sixth["measure"], sixth["known_beats"], sixth["known_from"]) == (6, 0, [])


def test_people_read_measures_in_runs_with_titles(run, student):
    shown = run("known", "Again", "--student", student).out
    assert "Slate Yard, measures 7-16" in shown
    assert "slate-yard" not in shown
    assert "Slate Yard Again: 92 % of its music can be played already." in shown


def test_for_a_class_the_gaps_of_each_student_are_printed(run, student):
    student.write_text("student,song,up to measure\nAnn,slate-yard,\nBen,slate-yard,1\n")
    shown = run("known", "Long Notes", "--student", student).out
    assert "Long Notes: 12 % of its music can be played already by all." in shown
    assert "Ann: 25 %; lacks measures 3-8" in shown
    assert "Ben: 12 %; lacks measures 2-8" in shown


def test_next_songs_have_the_keys_of_the_interface(run, student):
    rows = json.loads(run("next", "--student", student, "--json").out)
    assert {"song", "title", "share", "new_licks", "opens_the_way_to"} <= set(rows[0])
    rows = {row["song"]: row for row in rows}
    assert rows["long-notes"]["share"] == 0.25
    assert (
        rows["long-notes"]["new"] == 20
    )  # quarter notes of six measures, of which the last equals another


def test_a_version_of_a_known_tune_comes_after_the_new_tunes_and_is_marked(run, student):
    rows = json.loads(run("next", "--student", student, "--json").out)
    assert [(row["song"], row["version_of"]) for row in rows] == [
        ("long-notes", []),
        ("slate-yard-again", ["slate-yard"]),
    ]
    shown = run("next", "--student", student).out
    assert "Slate Yard Again: a version of Slate Yard, which is known" in shown


def test_a_tune_of_which_only_a_part_is_known_has_no_version_that_is_known(run, student):
    student.write_text("song,up to measure\nslate-yard,20\n", encoding="utf-8")
    rows = json.loads(run("next", "--student", student, "--json").out)
    assert [row["version_of"] for row in rows] == [[], [], []]


def test_next_songs_may_be_limited(run, student):
    assert len(json.loads(run("next", "--student", student, "--limit", "1", "--json").out)) == 1


def test_people_read_the_next_step_in_measures(run, student):
    shown = run("next", "--student", student).out
    assert "next step" in shown
    assert "96 % known" in shown


def test_a_student_who_knows_every_song_has_no_next_one(run, student):
    student.write_text("Slate Yard Again\nLong Notes\nslate-yard\n", encoding="utf-8")
    assert "knows all of these songs already" in run("next", "--student", student).err


def test_a_wrong_student_file_exits_1_with_its_line(run, student):
    student.write_text("slate-yard\nNo Such Tune\n", encoding="utf-8")
    for command in (["known", "Long"], ["next"]):
        stopped = run(*command, "--student", student)
        assert stopped.code == 1
        assert "line 2: no song is called 'No Such Tune'" in stopped.err


def test_csv_of_known_measures_has_their_beats(run, student):
    text = run("known", "Long Notes", "--student", student, "--csv").out
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["known_beats"] for row in rows[:3]] == ["4.0", "4.0", "0.0"]
