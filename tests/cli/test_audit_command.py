"""The command `audit`."""

import csv
import io
import json

import numpy as np
import pytest

from melodex.finder import audit, material

DUSK, HARBOUR, DAWN = "the-weir-at-dusk", "harbour-lights-ahead", "the-weir-at-dawn"
LICKS = {"rise": {DUSK: (1, 1), HARBOUR: (1, 1)}, "fall": {HARBOUR: (2, 2)}}


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
    """Let the catalogue's songs share a lick."""
    assert catalogue.exists()
    monkeypatch.setattr(material, "recurring_places", two_licks)


@pytest.fixture
def described(run, tmp_path):
    """Give two songs a level, a term and tags."""
    path = tmp_path / "levels.csv"
    path.write_text(
        "song,level,term,tags\n"
        f"{DUSK},1,autumn,slow;first weeks\n{HARBOUR},2.5,Winter,SLOW\n{DAWN},,,\n",
        encoding="utf-8",
    )
    assert run("describe", path).code == 0


def audited(run, *arguments):
    outcome = run("audit", "--json", *arguments)
    assert outcome.code == 0
    return json.loads(outcome.out)


def rows_of(run, *arguments):
    return list(csv.DictReader(io.StringIO(run("audit", "--csv", *arguments).out)))


def ids_of(rows):
    return [row["song"] for row in rows]


def test_an_audit_has_the_keys_of_the_interface(run):
    found = audited(run)
    keys = ["pairs", "near_duplicates", "taught_often", "taught_once", "alone", "coverage"]
    assert [key for key in found if key in keys] == keys
    assert found["pairs"] == [
        {
            "song_a": HARBOUR,
            "title_a": "Harbour Lights Ahead",
            "song_b": DUSK,
            "title_b": "The Weir at Dusk",
            "measures": 1,
            "share_a": 0.5,
            "share_b": 0.5,
            "licks": ["rise"],
        }
    ]
    assert [lick["lick"] for lick in found["taught_often"]] == ["rise"]
    assert [(lick["lick"], lick["taught_in"]) for lick in found["taught_once"]] == [
        ("fall", [HARBOUR])
    ]
    assert ids_of(found["alone"]) == [DAWN]
    assert found["coverage"] is None


def test_people_are_shown_each_part_under_a_heading(run):
    shown = run("audit").out
    assert "Pairs of songs that share licks: 1\n" in shown
    assert "Songs alike as a whole: 1\n" in shown
    assert "Licks taught by one of these songs only: 1\n" in shown
    assert "The Weir at Dawn" in shown
    assert "Songs alike as a whole: none.\n" in run("audit", "--metre", "3/4").out


def test_people_see_as_many_lines_as_they_asked_for(run, monkeypatch):
    monkeypatch.setitem(LICKS["rise"], DAWN, (1, 1))
    shown = run("audit", "--limit", "1").out
    assert "Pairs of songs that share licks: 3\n" in shown
    assert "... and 2 more" in shown


def test_a_tune_that_is_in_twice_is_found_and_its_score_cautioned(run, tmp_path):
    twice = tmp_path / "twice.abc"
    twice.write_text(
        "X:1\nT:Dawn, a Tone Down\nM:3/4\nL:1/4\nK:C\nGAc|cAG|E_ED|\n", encoding="utf-8"
    )
    run("add", twice)
    (pair,) = audited(run, "--metre", "3/4")["near_duplicates"]
    assert (pair["song_a"], pair["song_b"]) == ("dawn-a-tone-down", DAWN)
    assert 0.5 <= pair["score"] < 1  # but for one note the same
    assert pair["expected_by_chance"] is None  # of four songs nobody can tell
    assert pair["transposition"] == 2
    assert "no legal opinion" in run("audit").err


def test_a_selection_is_audited_by_itself(run):
    found = audited(run, "--metre", "4/4")
    assert ids_of(found["songs"]) == [HARBOUR, DUSK]
    assert found["alone"] == []
    assert audited(run, "--metre", "3/4")["taught_once"] == []


@pytest.mark.usefixtures("described")
def test_one_song_shares_nothing_and_its_licks_are_taught_once(run):
    found = audited(run, "--level", "2.5")
    assert (found["pairs"], found["near_duplicates"], found["taught_often"]) == ([], [], [])
    assert ids_of(found["alone"]) == [HARBOUR]
    assert [lick["lick"] for lick in found["taught_once"]] == ["rise", "fall"]


def test_a_song_is_covered_where_licks_of_the_others_stand_or_it_is_one_of_them(run):
    coverage = audited(run, "--against-metre", "3/4", "--metre", "4/4")["coverage"]
    assert (coverage["share"], coverage["covered"], coverage["measures"]) == (0.0, 0, 4)
    assert [lick["lick"] for lick in coverage["missing"]] == ["rise", "fall"]
    coverage = audited(run, "--against-metre", "4/4")["coverage"]
    assert [(song["song"], song["share"]) for song in coverage["songs"]] == [
        (DAWN, 0.0), (HARBOUR, 1.0), (DUSK, 1.0),
    ]  # fmt: skip
    assert coverage["missing"] == []


@pytest.mark.usefixtures("described")
def test_coverage_by_licks_alone_is_shown_with_the_licks_that_miss(run):
    shown = run("audit", "--level", "2-3", "--against-level", "1").out
    assert "The other songs teach 50 % of these songs' measures" in shown
    assert "Licks of these songs that the others do not teach: 1" in shown
    rows = rows_of(run, "--level", "2-3", "--against-level", "1", "--part", "missing")
    assert [row["lick"] for row in rows] == ["fall"]


@pytest.mark.usefixtures("described")
def test_groups_are_told_by_a_column_whatever_its_capitals_the_unknown_last(run):
    groups = audited(run, "--by", "level")["groups"]
    assert [group["value"] for group in groups] == [1, 2.5, None]
    groups = audited(run, "--by", "tags")["groups"]
    assert [(group["value"], ids_of(group["songs"])) for group in groups] == [
        ("first weeks", [DUSK]), ("SLOW", [HARBOUR, DUSK]), (None, [DAWN]),
    ]  # fmt: skip
    assert [len(group["pairs"]) for group in groups] == [0, 1, 0]
    rows = rows_of(run, "--by", "term", "--part", "groups")
    assert [(row["value"], row["taught_once"]) for row in rows] == [
        ("autumn", "1"), ("Winter", "2"), ("", "0"),
    ]  # fmt: skip


def test_groups_may_go_by_what_the_files_say(run):
    groups = audited(run, "--by", "metre")["groups"]
    assert [(group["value"], len(group["songs"])) for group in groups] == [("3/4", 1), ("4/4", 2)]


@pytest.mark.usefixtures("described")
def test_a_column_that_no_song_has_is_named_with_those_there_are(run):
    stopped = run("audit", "--by", "mood")
    assert stopped.code == 2
    assert "no column 'mood'" in stopped.err
    assert "collection, key, level, metre, tags, term" in stopped.err


def test_csv_prints_the_pairs_or_the_table_asked_for(run):
    (pair,) = rows_of(run)
    assert (pair["measures"], pair["licks"]) == ("1", "rise")
    matrix = rows_of(run, "--part", "matrix")
    assert [list(row.values()) for row in matrix] == [
        [HARBOUR, "2", "0", "1"], [DAWN, "0", "0", "0"], [DUSK, "1", "0", "1"],
    ]  # fmt: skip
    assert ids_of(rows_of(run, "--part", "alone")) == [DAWN]
    (alike,) = rows_of(run, "--part", "near_duplicates")
    assert (alike["song_a"], alike["expected_by_chance"]) == (HARBOUR, "")


@pytest.mark.parametrize(
    "arguments",
    [
        ["--json", "--csv"],
        ["--part", "pairs"],
        ["--csv", "--part", "coverage"],
        ["--csv", "--part", "groups"],
        ["--csv", "--part", "melodies"],
        ["--plan", "plan.toml"],
        ["--level", "3-2"],
        ["--against-level", "easy"],
    ],
)
def test_options_that_do_not_go_together_exit_2_and_say_why(run, arguments):
    stopped = run("audit", *arguments)
    assert stopped.code == 2
    assert stopped.err
    assert stopped.out == ""


@pytest.mark.usefixtures("described")
def test_a_selection_without_songs_is_no_failure_nor_is_one_to_compare_with(run):
    outcome = run("audit", "--metre", "3/4", "--level", "1", "--by", "level")
    assert (outcome.code, outcome.out) == (0, "")
    assert "metre '3/4', level 1" in outcome.err
    assert audited(run, "--metre", "3/4", "--level", "1")["pairs"] == []
    outcome = run("audit", "--against-metre", "3/4", "--against-level", "1", "--json")
    assert outcome.code == 0
    assert "metre '3/4', level 1" in outcome.err
    assert json.loads(outcome.out)["coverage"]["covered"] == 0


def test_pictures_go_to_a_folder_that_is_not_named_like_a_picture(run, tmp_path):
    stopped = run("audit", "--plots", tmp_path / "audit.png")
    assert stopped.code == 2
    assert "name a folder" in stopped.err


def test_more_songs_than_anybody_reads_about_need_a_selection(run, monkeypatch):
    monkeypatch.setattr(audit, "MOST_SONGS", 2)
    stopped = run("audit")
    assert stopped.code == 1
    assert "choose 2 or fewer by collection" in stopped.err
    assert audited(run, "--metre", "4/4")["pairs"]
    assert run("audit", "--metre", "4/4", "--against-metre", "3/4").code == 1  # three all told


def test_pictures_are_drawn_into_a_folder_and_named(run, tmp_path):
    folder, plan = tmp_path / "pictures", tmp_path / "plan.toml"
    run("lessons", "--write", plan)
    outcome = run("audit", "--plots", folder, "--plan", plan)
    assert outcome.code == 0
    names = sorted(path.name for path in folder.iterdir())
    assert names == ["licks_by_songs.svg", "new_material.svg", "shared_material.svg"]
    assert all(f"Drawn: {folder / name}" in outcome.err for name in names)


def test_songs_without_licks_have_no_pictures_and_that_is_said(run, tmp_path):
    outcome = run("audit", "--metre", "3/4", "--plots", tmp_path / "pictures")
    assert outcome.code == 0
    assert "there is nothing to draw" in outcome.err
    assert not (tmp_path / "pictures").exists()
