"""Techniques and suggested levels in the commands that list, choose, plan and count songs."""

import csv
import io
import json
import shutil
from itertools import pairwise

import pytest

from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.open_catalogue import open_catalogue
from tests.cli.conftest import BOOK

FORWARD = """\
Title: Round and Round
Metre: 4/4
Spacing: 2 characters = 1/8

D|-----0-----0-----|-----0-----0-----|
B|---0-----0-----0-|---0-----0-----0-|
G|-0---------------|-2h4-------------|
D|-----------------|-----------------|
g|-------0-----0---|-------0-----0---|
"""
SLIDING = """\
Title: Slow Slider
Metre: 4/4
Spacing: 2 characters = 1/8

D|-----------------|-----------------|
B|-----------------|-----------------|
G|-2s4-----0-------|-2s4-----0-------|
D|-----------------|-----------------|
g|-----------------|-----------------|
"""


@pytest.fixture(scope="module")
def read_once(tmp_path_factory):
    """A catalogue of two tabs and three tunes without, read once for all tests."""
    folder = tmp_path_factory.mktemp("techniques")
    for name, text in (("round.tab", FORWARD), ("slider.tab", SLIDING), ("weir.abc", BOOK)):
        (folder / name).write_text(text, encoding="utf-8")
    with open_catalogue(folder / "songs.db") as catalogue:
        add_songs(catalogue, [folder])
    return folder / "songs.db"


@pytest.fixture(autouse=True)
def with_tabs(read_once, tmp_path, monkeypatch):
    """A copy of that catalogue, named by the environment."""
    path = tmp_path / "with_tabs.db"
    shutil.copyfile(read_once, path)
    monkeypatch.setenv("MELODEX_CATALOGUE", str(path))


def rows_of(run, *arguments):
    """Run a command that prints JSON."""
    outcome = run(*arguments, "--json")
    assert outcome.code == 0, outcome.err
    return json.loads(outcome.out)


def describe(run, tmp_path, text):
    """Describe songs."""
    table = tmp_path / "levels.csv"
    table.write_text(text, encoding="utf-8")
    assert run("describe", table).code == 0


def test_songs_say_which_techniques_they_use_and_where(run):
    uses = {row["song"]: (row["uses"], row["uses_in"]) for row in rows_of(run, "songs")}
    names, places = uses["round-and-round"]
    assert names == ["forward roll", "hammer-on", "open G tuning"]
    assert places[1] == {"technique": "hammer-on", "measures": [2]}
    assert uses["the-weir-at-dusk"] == (None, None)  # no tab, so it is unknown


@pytest.mark.parametrize("typed", ["slide", "Slide"])
def test_songs_are_chosen_by_a_technique(run, typed):
    assert [row["song"] for row in rows_of(run, "songs", "--uses", typed)] == ["slow-slider"]


def test_of_several_techniques_any_is_enough(run):
    rows = rows_of(run, "songs", "--uses", "slide", "--uses", "forward")
    assert [row["song"] for row in rows] == ["round-and-round", "slow-slider"]


def test_the_measures_of_the_technique_looked_for_are_printed(run):
    assert "slide (measures 1-2)" in run("songs", "--uses", "slide").out


def test_other_commands_search_the_same_songs(run):
    found = rows_of(run, "find", "--notes", "A3 B3", "--uses", "slide", "--limit", "9")
    assert {row["song"] for row in found} <= {"slow-slider"}
    assert found


@pytest.mark.parametrize("command", [("songs",), ("lessons",), ("audit",), ("licks",)])
def test_an_unknown_technique_is_named_with_those_there_are(run, command):
    stopped = run(*command, "--uses", "slid")
    assert (stopped.code, stopped.out) == (1, "")
    assert "No song uses the technique 'slid' in the catalogue; its techniques: slide, " in (
        stopped.err
    )


def test_without_any_tab_a_filter_by_technique_says_that_it_needs_tab(
    run, tmp_path, monkeypatch, book
):
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "plain.db"))
    run("add", book)
    stopped = run("songs", "--uses", "slide")
    assert stopped.code == 1
    assert "add songs with tab for five strings" in stopped.err


def test_songs_without_a_level_get_one_with_reasons(run, tmp_path):
    describe(run, tmp_path, "song,level\nthe-weir-at-dusk,4\n")
    levels = {row["song"]: row for row in rows_of(run, "songs")}
    given, suggested = levels["the-weir-at-dusk"], levels["slow-slider"]
    assert (given["level"], given["suggested_level"], given["level_reasons"]) == (4, None, [])
    assert suggested["level"] is None
    assert 1 <= suggested["suggested_level"] <= 5
    assert any(reason.startswith("speed ") for reason in suggested["level_reasons"])
    assert "(estimated)" in run("songs", "slider").out
    assert "(estimated)" not in run("songs", "dusk").out


def test_estimated_levels_count_only_if_the_option_is_given(run, tmp_path):
    describe(run, tmp_path, "song,level\nthe-weir-at-dusk,4\n")
    assert len(rows_of(run, "songs", "--level", "1-5")) == 1
    assert len(rows_of(run, "songs", "--level", "1-5", "--estimated")) == 5


def test_a_level_that_was_given_counts_at_once(run, tmp_path):
    before = rows_of(run, "songs", "slider")[0]["suggested_level"]
    describe(run, tmp_path, "song,level\nslow-slider,9\n")
    assert [row["song"] for row in rows_of(run, "songs", "--level", "9", "--estimated")] == [
        "slow-slider"
    ]
    assert before != 9


def test_estimated_without_a_level_is_refused(run):
    stopped = run("songs", "--estimated")
    assert stopped.code == 2
    assert "chosen by level" in stopped.err


def test_where_no_level_was_given_the_way_to_suggested_ones_is_named(run):
    assert "--estimated" in run("songs", "--level", "2").err


def test_a_plan_by_levels_works_without_any_given(run):
    plan = rows_of(run, "lessons", "--level-step", "1", "--seconds", "1")
    levels = [lesson["suggested_level"] for lesson in plan["lessons"]]
    assert all(lesson["level"] is None for lesson in plan["lessons"])
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert "levels are estimated" in run("lessons", "--level-step", "1", "--seconds", "1").out


def test_an_audit_counts_techniques_and_says_where_each_is_first_taught(run, tmp_path):
    describe(run, tmp_path, "song,level\nslow-slider,1\nround-and-round,2\n")
    found = rows_of(run, "audit")
    assert found["with_tab"] == 2
    techniques = {each["technique"]: each for each in found["techniques"]}
    tuning, slide = techniques["open G tuning"], techniques["slide"]
    assert (tuning["songs"], tuning["first_in"], tuning["first_level"]) == (2, "Slow Slider", 1)
    assert tuning["taught_in"] == ["slow-slider", "round-and-round"]
    assert (slide["taught_in"], slide["measures"]) == (["slow-slider"], [[1, 2]])
    printed = run("audit").out
    assert "those of 3 songs without tab are unknown" in printed
    assert "Slow Slider (level 1)" in printed


def test_techniques_of_equal_levels_are_first_taught_by_title(run, tmp_path):
    describe(run, tmp_path, "song,level\nslow-slider,1\nround-and-round,1\n")
    tuning = next(
        each for each in rows_of(run, "audit")["techniques"] if each["technique"] == "open G tuning"
    )
    assert tuning["first_in"] == "Round and Round"


def test_an_audit_groups_songs_by_technique(run):
    groups = rows_of(run, "audit", "--by", "uses")["groups"]
    songs = {group["value"]: [song["song"] for song in group["songs"]] for group in groups}
    assert songs["slide"] == ["slow-slider"]
    assert songs["open G tuning"] == ["round-and-round", "slow-slider"]
    assert len(songs[None]) == 3  # unknown, not none


def test_techniques_are_a_table_for_spreadsheets(run):
    outcome = run("audit", "--part", "techniques", "--csv")
    rows = list(csv.DictReader(io.StringIO(outcome.out)))
    assert {row["technique"]: row["songs"] for row in rows}["open G tuning"] == "2"
    listed = next(csv.DictReader(io.StringIO(run("songs", "round", "--csv").out)))
    assert listed["uses"] == "forward roll; hammer-on; open G tuning"
