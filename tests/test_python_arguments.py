"""What the public Python API takes: paths, limits and filters in the forms that people write."""

import os
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import melodex
from melodex.errors import LickNotFoundError, QueryError, SongNotFoundError, UnknownValueError

BOOK = """X:1
T:Low Road
M:4/4
L:1/8
K:G
DEGA BAGE|DEGA G4|

X:2
T:High Road
M:3/4
L:1/4
K:D
ABd|dBA|FED|
"""
LICK = melodex.lick_from_names("D4 E4 G4 A4 B4")


class Folder(os.PathLike[str]):
    """A path of a library's own kind."""

    def __init__(self, path):
        self.path = path

    def __fspath__(self):
        return str(self.path)


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A user's own folder, with a book, a table of levels and a student's file."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    return user_folder(tmp_path)


def user_folder(folder):
    (folder / "book.abc").write_text(BOOK, encoding="utf-8")
    (folder / "levels.csv").write_text(
        "title,level,tags,term\nLow Road,1,rolls;Slow,autumn\nHigh Road,2.5,slow,Autumn\n",
        encoding="utf-8",
    )
    (folder / "ann.csv").write_text("song\nlow-road\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    """A catalogue of the book, described, to be copied."""
    folder = user_folder(tmp_path_factory.mktemp("filled"))
    with melodex.open_catalogue(folder / "songs.db") as opened:
        melodex.add_songs(opened, folder / "book.abc")
        melodex.describe_songs(opened, folder / "levels.csv")
    return folder / "songs.db"


@pytest.fixture
def catalogue(home, filled):
    """A catalogue of the book, described."""
    with melodex.open_catalogue(shutil.copy(filled, home / "songs.db")) as opened:
        yield opened


def songs_in(table):
    return sorted(table["song"])


@pytest.mark.parametrize(
    "form", [Path, str, Folder, lambda path: f"~/{path.name}", lambda path: Path("~") / path.name]
)
def test_a_path_may_be_text_or_a_path_of_any_kind_from_the_users_own_folder(home, form):
    with melodex.open_catalogue(form(home / "songs.db")) as catalogue:
        assert melodex.add_songs(catalogue, form(home / "book.abc")).added == 2
        assert melodex.add_songs(catalogue, [form(home / "book.abc")]).unchanged == 2
        assert melodex.describe_songs(catalogue, form(home / "levels.csv")).described == 2
        known = melodex.known_material(catalogue, "low", form(home / "ann.csv"))
        assert known.attrs["share"] == 1
        assert songs_in(melodex.next_songs(catalogue, form(home / "ann.csv"))) == ["high-road"]
        plan, pair = form(home / "plan.toml"), form(home / "pair.html")
        melodex.plan_lessons(catalogue, seconds=0.2, student=form(home / "ann.csv"), write=plan)
        assert songs_in(melodex.judge_lessons(catalogue, plan)) == ["high-road"]
        again = melodex.plan_lessons_again(catalogue, plan, seconds=0.2, write=plan)
        assert songs_in(again) == ["high-road"]
        melodex.write_report(melodex.report_pair(catalogue, "low", "high"), pair)
        melodex.write_tab(melodex.tab_of_song(catalogue, "low"), form(home / "low.tab"))
        assert melodex.report_plan(catalogue, plan).startswith("<!doctype html>")
    assert {"songs.db", "plan.toml", "pair.html", "low.tab"} <= {
        path.name for path in home.iterdir()
    }


def test_a_lick_may_be_in_a_file_named_by_text(home):
    lick = home / "lick.abc"
    lick.write_text("X:1\nT:lick\nK:G\nDEGA|\n", encoding="utf-8")
    assert len(melodex.lick_from_file("~/lick.abc").melody) == 4


@pytest.mark.parametrize("path", [3, None, b"songs.db", "", "songs\0.db", ["songs.db"]])
def test_what_is_no_path_is_refused_with_a_sentence(path):
    with pytest.raises(QueryError, match="is not a path"):
        melodex.open_catalogue(path)


@pytest.mark.parametrize(
    ("name", "kind"),
    [("report.pdf", "report"), ("plan.txt", "plan"), ("tab.mid", "tab"), ("audit.svg", "pictures")],
)
def test_a_file_of_a_kind_that_is_not_written_is_refused(catalogue, home, name, kind):
    path = home / name
    calls = {
        "report": lambda: melodex.write_report("<!doctype html>", path),
        "plan": lambda: melodex.plan_lessons(catalogue, write=path),
        "tab": lambda: melodex.write_tab(melodex.tab_of_song(catalogue, "low"), path),
        "pictures": lambda: melodex.draw_audit(catalogue, path),
    }
    with pytest.raises(QueryError, match=name):
        calls[kind]()
    assert not path.exists()


LIMITED: dict[str, Any] = {
    "list_songs": lambda catalogue, limit: melodex.list_songs(catalogue, limit=limit),
    "find_lick": lambda catalogue, limit: melodex.find_lick(catalogue, LICK, limit=limit),
    "nearest_songs": lambda catalogue, limit: melodex.nearest_songs(catalogue, "low", limit=limit),
    "recurring_licks": lambda catalogue, limit: melodex.recurring_licks(catalogue, limit=limit),
    "next_songs": lambda catalogue, limit: melodex.next_songs(catalogue, "~/ann.csv", limit=limit),
    "place_lick": lambda catalogue, limit: melodex.place_lick(
        catalogue, "low", melodex.lick_from_names("G4 E4 D4 B3"), limit=limit
    ),
    "report_lick": lambda catalogue, limit: melodex.report_lick(catalogue, LICK, limit=limit),
}


@pytest.mark.parametrize("name", LIMITED)
@pytest.mark.parametrize("limit", [-1, 0, 1.5, True, "3", np.int64(-2), -(10**5000)], ids=range(7))
def test_a_limit_that_is_no_number_of_rows_is_refused(catalogue, name, limit):
    with pytest.raises(QueryError, match="A limit of") as caught:
        LIMITED[name](catalogue, limit)
    assert "None for everything" in caught.value.next_step


@pytest.mark.parametrize("name", LIMITED)
def test_without_a_limit_there_are_at_least_as_many_rows_as_with_one(catalogue, name):
    every, first = LIMITED[name](catalogue, None), LIMITED[name](catalogue, np.int64(1))
    assert len(first) <= len(every)
    assert name == "report_lick" or len(first) <= 1


@pytest.mark.parametrize(
    ("facts", "songs"),
    [
        ({"tags": "rolls"}, ["low-road"]),
        ({"tags": ["rolls"]}, ["low-road"]),
        ({"tags": ("ROLLS", "slow")}, ["high-road", "low-road"]),
        ({"tags": {"slow"}}, ["high-road", "low-road"]),
        ({"tags": []}, ["high-road", "low-road"]),
        ({"metres": "3/4"}, ["high-road"]),
        ({"level": 1}, ["low-road"]),
        ({"level": 2.5}, ["high-road"]),
        ({"level": np.int64(1)}, ["low-road"]),
        ({"level": "1"}, ["low-road"]),
        ({"level": "1-2"}, ["low-road"]),
        ({"level": (2, 3)}, ["high-road"]),
        ({"level": [1, 2.5]}, ["high-road", "low-road"]),
        ({"tags": "slow", "level": 2.5, "metres": "3/4"}, ["high-road"]),
        ({"tags": "rolls", "level": 2.5}, []),
    ],
)
def test_a_filter_takes_one_value_or_several(catalogue, facts, songs):
    assert songs_in(melodex.list_songs(catalogue, melodex.song_filter(**facts))) == songs


@pytest.mark.parametrize(
    "facts",
    [
        {"tags": 3}, {"tags": ["rolls", 3]}, {"collections": b"rolls"}, {"metres": (3, 4)},
        {"level": "easy"}, {"level": (3, 1)}, {"level": "3-1"}, {"level": (1, 2, 3)},
        {"level": True}, {"level": float("nan")}, {"level": (1, float("inf"))}, {"level": []},
        {"level": ("1", "2")}, {"level": {1, 2}}, {"level": "9" * 400}, {"level": 10**400},
    ],
)  # fmt: skip
def test_a_filter_that_cannot_be_understood_is_refused(facts):
    with pytest.raises(QueryError) as caught:
        melodex.song_filter(**facts)
    assert caught.value.next_step


FILTERED: dict[str, Any] = {
    "list_songs": melodex.list_songs,
    "find_lick": lambda catalogue, which: melodex.find_lick(catalogue, LICK, which=which),
    "nearest_songs": lambda catalogue, which: melodex.nearest_songs(catalogue, "low", which=which),
    "recurring_licks": lambda catalogue, which: melodex.recurring_licks(catalogue, which=which),
    "plan_lessons": melodex.plan_lessons,
    "next_songs": lambda catalogue, which: melodex.next_songs(catalogue, "~/ann.csv", which=which),
    "audit": melodex.audit,
    "audit against": lambda catalogue, which: melodex.audit(catalogue, against=which),
    "group_songs": lambda catalogue, which: melodex.group_songs(catalogue, "term", which),
    "report_lick": lambda catalogue, which: melodex.report_lick(catalogue, LICK, which=which),
    "report_audit": melodex.report_audit,
    "draw_audit": lambda catalogue, which: melodex.draw_audit(catalogue, "~/drawn", which),
}


@pytest.mark.parametrize("name", FILTERED)
def test_a_filter_value_that_no_song_has_is_an_error_that_lists_the_nearest(catalogue, name):
    with pytest.raises(UnknownValueError, match="its tags: rolls, ") as caught:
        FILTERED[name](catalogue, melodex.song_filter(tags="roll"))
    assert isinstance(caught.value, melodex.MelodexError)
    assert caught.value.exit_code == 1


def test_groups_go_by_a_described_column_whatever_its_capitals(catalogue):
    groups = melodex.group_songs(catalogue, "term")
    assert list(groups) == ["value", "song", "title"]
    assert groups["value"].nunique() == 1
    assert songs_in(groups) == ["high-road", "low-road"]
    tags = melodex.group_songs(catalogue, "tags", melodex.song_filter(level=1))
    assert sorted(tags["value"]) == ["Slow", "rolls"]
    with pytest.raises(QueryError, match="no column 'mood'"):
        melodex.group_songs(catalogue, "mood")


def test_a_removed_song_is_returned_and_gone(catalogue):
    removed = melodex.remove_song(catalogue, "low")
    assert (removed.song, removed.title, removed.level) == ("low-road", "Low Road", 1)
    assert songs_in(melodex.list_songs(catalogue)) == ["high-road"]
    with pytest.raises(SongNotFoundError):
        melodex.remove_song(catalogue, "low")


def test_licks_are_kept_listed_used_and_forgotten(catalogue):
    melodex.keep_lick(catalogue, "climb", LICK)
    assert melodex.kept_licks(catalogue)["name"].tolist() == ["climb"]
    assert melodex.kept_licks(catalogue)["notes"][0] == ("D4", "E4", "G4", "A4", "B4")
    found = melodex.find_lick(catalogue, melodex.kept_lick(catalogue, "CLIMB"))
    assert found["song"][0] == "low-road"
    melodex.forget_lick(catalogue, "climb")
    assert melodex.kept_licks(catalogue).empty
    with pytest.raises(LickNotFoundError):
        melodex.kept_lick(catalogue, "climb")


def test_a_song_is_tab_in_any_tuning_as_text_or_a_file_that_is_read_again(catalogue, home):
    tab = melodex.tab_of_song(catalogue, "low", tuning="double C")
    assert str(tab.tuning) == "gCGCD"
    assert "gCGCD" in melodex.tab_text(tab)
    melodex.write_tab(tab, home / "again.tab")
    again = melodex.tab_of_song(catalogue, "low", tuning=melodex.tuning_named("C", capo=2))
    assert again.tuning.capo == 2
    assert melodex.add_songs(catalogue, home / "again.tab").added == 1
    assert melodex.arrange_song(catalogue, "low-road", roll="forward").notes


def test_a_song_is_returned_with_the_lick_in_the_place_of_a_number(catalogue):
    lick = melodex.lick_from_names("G4 E4 D4 B3")
    places = melodex.place_lick(catalogue, "low", lick, limit=None)
    tab = melodex.song_with_lick(catalogue, "low", lick, number=len(places))
    first, last = places[["first_measure", "last_measure"]].iloc[-1]
    shown = melodex.tab_text(tab, (int(first), int(last)))
    strings = [line for line in places["tab"].iloc[-1].splitlines() if "|" in line]
    assert strings
    assert [line for line in strings if line not in shown] == []
    for number in (0, len(places) + 1):
        with pytest.raises(QueryError, match="no place number"):
            melodex.song_with_lick(catalogue, "low", lick, number=number)


@pytest.mark.parametrize("measures", [(1, 2), [1, 2], "1-2", " 1 - 2 ", (np.int64(1), np.int64(2))])
def test_measures_are_a_pair_or_the_text_that_commands_take(catalogue, measures):
    assert len(melodex.lick_from_song(catalogue, "low", measures=measures).melody) == 13
    tab = melodex.tab_of_song(catalogue, "low", measures=measures)
    assert melodex.tab_text(tab, measures) == melodex.tab_text(tab)


@pytest.mark.parametrize("measure", [1, "1"])
def test_one_measure_is_named_by_its_number(catalogue, measure):
    assert len(melodex.lick_from_song(catalogue, "low", measures=measure).melody) == 8


@pytest.mark.parametrize(
    "measures",
    [(2, 1), "2-1", "one", "", -1, 1.5, True, None, (1,), (1, 2, 3), 10**5000, "9" * 5000],
    ids=range(12),
)
def test_measures_that_cannot_be_understood_are_refused(catalogue, measures):
    with pytest.raises(QueryError, match=r"names no measures|run backwards"):
        melodex.lick_from_song(catalogue, "low", measures=measures)


@pytest.mark.parametrize(
    "limits",
    [
        {"lessons": 0}, {"lessons": -1}, {"lessons": 1.5}, {"lessons": True}, {"lessons": 10**30},
        {"level_step": -1}, {"level_step": float("nan")}, {"most_new": -1}, {"most_new": "8"},
        {"first": 3}, {"must_come": [3]}, {"before": [("low", 3)]}, {"before": ["ab"]},
        {"kept": [(0, "low")]}, {"review_every": 1}, {"must_come": "low", "must_not_come": "low"},
    ],
)  # fmt: skip
def test_a_limit_that_no_plan_can_keep_is_refused_before_the_solver_sees_it(limits):
    with pytest.raises(QueryError):
        melodex.Limits(**limits)


def test_songs_that_must_come_may_be_one_text_or_a_list(catalogue):
    given: list[Any] = ["low", ["low"]]
    for songs in given:
        limits = melodex.Limits(lessons=1, must_come=songs)
        assert songs_in(melodex.plan_lessons(catalogue, limits=limits, seconds=0.2)) == ["low-road"]


@pytest.mark.parametrize("seconds", [0, -1, float("nan"), float("inf"), "5", None, True])
def test_a_plan_needs_some_time(catalogue, seconds):
    with pytest.raises(QueryError, match="seconds"):
        melodex.plan_lessons(catalogue, seconds=seconds)


def test_a_word_is_no_filter(catalogue):
    which: Any = "rolls"
    with pytest.raises(QueryError, match="'rolls' is not a filter"):
        melodex.list_songs(catalogue, which)


def test_places_that_have_the_lick_already_are_remarks(catalogue):
    lick = melodex.lick_from_song(catalogue, "low", measures=2)
    assert "already" in melodex.place_lick(catalogue, "low", lick).attrs["remarks"][0]
