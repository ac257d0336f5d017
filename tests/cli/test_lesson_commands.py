"""The commands `known` and `next`."""

import csv
import io
import json

import numpy as np
import pytest

from melodex.finder import material

DUSK, HARBOUR, DAWN = "the-weir-at-dusk", "harbour-lights-ahead", "the-weir-at-dawn"
LICKS = {"rise": {DUSK: (1, 1), HARBOUR: (1, 1)}, "fall": {HARBOUR: (2, 2), DAWN: (2, 2)}}


def two_licks(_, songs):
    """Place two licks in the songs of the book, each a measure long."""
    places = [
        (songs.index(song), lick, *span)
        for lick, spans in enumerate(LICKS.values())
        for song, span in spans.items()
        if song in songs
    ]
    return tuple(LICKS), np.ones(2, np.int32), np.array(places, np.int32).reshape(-1, 4)


@pytest.fixture(autouse=True)
def licks(monkeypatch, catalogue):
    """Let the catalogue's songs share two licks."""
    assert catalogue.exists()
    monkeypatch.setattr(material, "recurring_places", two_licks)


@pytest.fixture
def student(tmp_path):
    path = tmp_path / "ann.csv"
    path.write_text("song\nThe Weir at Dusk\n", encoding="utf-8")
    return path


def test_who_knows_every_song_is_told_that_there_is_none_next(run, student):
    student.write_text(f"song\n{DUSK}\n{HARBOUR}\n{DAWN}\n", encoding="utf-8")
    assert "knows all of these songs already" in run("next", "--student", student).err


def test_known_tells_share_and_measures_and_from_where(run, student):
    known = json.loads(run("known", "harbour", "--student", student, "--json").out)
    assert (known["song"], known["share"]) == (HARBOUR, 0.5)
    assert known["measures"] == [
        {"measure": 1, "known_from": [{"song": DUSK, "lick": "rise", "measures": [[1, 1]]}]},
        {"measure": 2, "known_from": []},
    ]
    shown = run("known", "harbour", "--student", student).out
    assert "Harbour Lights Ahead: 50 % of its measures can be played already." in shown


def test_a_class_is_told_what_each_student_lacks(run, student):
    student.write_text("student,song,lick\nAnn,dusk,\nBen,,fall\nBen,dusk,\n", encoding="utf-8")
    shown = run("known", "harbour", "--student", student).out
    assert "50 % of its measures can be played already by all" in shown
    assert "Ann: 50 %; lacks measure 2" in shown
    assert "Ben: 100 %; lacks nothing" in shown


def test_next_songs_have_the_keys_of_the_interface(run, student):
    rows = json.loads(run("next", "--student", student, "--json").out)
    assert rows[0] == {
        "song": HARBOUR,
        "title": "Harbour Lights Ahead",
        "share": 0.5,
        "new": 1,
        "new_licks": ["fall"],
        "opens_the_way_to": [DAWN],
    }
    assert "opens the way" in run("next", "--student", student).out


def test_next_songs_may_be_limited_and_filtered(run, student):
    assert len(json.loads(run("next", "--student", student, "--limit", "1", "--json").out)) == 1
    rows = json.loads(run("next", "--student", student, "--metre", "3/4", "--json").out)
    assert [row["song"] for row in rows] == [DAWN]


def test_a_wrong_student_file_exits_1_with_its_line(run, student):
    student.write_text("song\nNo Such Tune\n", encoding="utf-8")
    for command in (["known", "dawn"], ["next"]):
        stopped = run(*command, "--student", student)
        assert stopped.code == 1
        assert "line 2: no song is called 'No Such Tune'" in stopped.err


def test_csv_of_known_measures_says_from_where(run, student):
    rows = list(
        csv.DictReader(io.StringIO(run("known", "harbour", "--student", student, "--csv").out))
    )
    assert [row["known_from"] for row in rows] == [f"rise in {DUSK}, measure 1", "new"]
