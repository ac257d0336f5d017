"""Filters that match nothing, in every command that filters."""

import json

import pytest

LICK = ("--notes", "D4 E4 G4 A4 B4")
COMMANDS = {
    "songs": (),
    "find": LICK,
    "near": ("dusk",),
    "licks": (),
    "lessons": (),
    "next": ("--student", "student.csv"),
    "audit": (),
    "report": ("--audit", "--write", "report.html"),
}
TABLES = [name for name in COMMANDS if name not in {"lessons", "audit", "report"}]


@pytest.fixture(autouse=True)
def described(run, catalogue, tmp_path, monkeypatch):
    """Give two songs levels and tags, in a folder that also has a student's file."""
    assert catalogue.exists()
    monkeypatch.chdir(tmp_path)
    (tmp_path / "student.csv").write_text("song\ndusk\n", encoding="utf-8")
    levels = tmp_path / "levels.csv"
    levels.write_text(
        "song,level,tags\nharbour-lights-ahead,1,slow\nthe-weir-at-dawn,2.5,rolls;Evening\n",
        encoding="utf-8",
    )
    assert run("describe", levels).code == 0


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--tag", "role", "No song has the tag 'role' in the catalogue; its tags: rolls, "),
        ("--level", "9", "No song has level 9 in the catalogue; its levels: 1, 2.5."),
        ("--level", "1.5-2", "No song has level 1.5 to 2 in the catalogue; its levels: 1, 2.5."),
        ("--metre", "7/8", "No song is in the metre '7/8' in the catalogue; its metres: "),
        ("--collection", "nowhere", "No song is in the collection 'nowhere' in the catalogue; its"),
    ],
)
def test_a_value_that_no_song_has_is_named_with_those_there_are(run, command, option, value, said):
    stopped = run(command, *COMMANDS[command], option, value)
    assert (stopped.code, stopped.out) == (1, "")
    assert said in stopped.err
    assert "Next: use one of these." in stopped.err


@pytest.mark.parametrize("option", ["--tag", "--level", "--metre", "--collection"])
def test_songs_to_compare_with_are_filtered_by_values_that_exist(run, option):
    stopped = run("audit", option.replace("--", "--against-"), "9")
    assert (stopped.code, stopped.out) == (1, "")
    assert "9" in stopped.err


@pytest.mark.parametrize("command", TABLES)
def test_values_that_exist_but_never_together_are_no_mistake(run, command):
    outcome = run(command, *COMMANDS[command], "--tag", "rolls", "--level", "1", "--json")
    assert (outcome.code, json.loads(outcome.out)) == (0, [])
    assert "No song matches all of these filters together: tag 'rolls', level 1." in outcome.err


@pytest.mark.parametrize("command", ["lessons", "audit"])
def test_an_empty_plan_or_audit_is_an_object_all_the_same(run, command):
    outcome = run(command, "--tag", "rolls", "--level", "1", "--json")
    assert outcome.code == 0
    assert [] in json.loads(outcome.out).values()
    assert "No song matches all of these filters together" in outcome.err


def test_one_mistyped_value_among_several_is_not_overlooked(run):
    stopped = run("songs", "--tag", "rolls", "--tag", "slwo")
    assert (stopped.code, stopped.out) == (1, "")
    assert "No song has the tag 'slwo' in the catalogue; its tags: slow, " in stopped.err


def test_capitals_do_not_matter_in_a_filter(run):
    rows = json.loads(run("songs", "--tag", "EVENING", "--json").out)
    assert [row["song"] for row in rows] == ["the-weir-at-dawn"]


def test_a_word_that_no_title_has_is_named_with_the_nearest(run):
    stopped = run("songs", "weir harbor")
    assert (stopped.code, stopped.out) == (1, "")
    assert "No title has the word 'harbor'; the nearest: harbour." in stopped.err


def test_words_that_stand_in_different_titles_are_no_mistake(run):
    outcome = run("songs", "weir harbour", "--json")
    assert (outcome.code, json.loads(outcome.out)) == (0, [])
    assert "No title of these songs has all of the words." in outcome.err


def test_of_many_values_the_nearest_eight_are_listed(run, tmp_path):
    table = tmp_path / "tags.csv"
    tags = ";".join([*(f"week {number}" for number in range(1, 20)), "pinches"])
    table.write_text(f"song,tags\nthe-weir-at-dusk,{tags}\n", encoding="utf-8")
    run("describe", table)
    said = run("songs", "--tag", "pinch").err
    assert "the nearest of its 23 tags: pinches, " in said
    assert said.partition(".")[0].count(",") == 7


def test_a_fact_that_no_song_has_yet_is_reported_as_missing(run, tmp_path):
    table = tmp_path / "none.csv"
    table.write_text("song,level\nharbour-lights-ahead,\nthe-weir-at-dawn,\n", encoding="utf-8")
    run("describe", table)
    stopped = run("songs", "--level", "2")
    assert stopped.code == 1
    assert "no song of the catalogue has a level yet" in stopped.err


@pytest.mark.parametrize("command", TABLES)
def test_an_empty_catalogue_is_reported_before_filter_values(run, tmp_path, monkeypatch, command):
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "empty.db"))
    assert run("add", tmp_path / "levels.csv").code == 1
    if command in {"near", "next"}:
        return  # these name a song first, which is not there
    stopped = run(command, *COMMANDS[command], "--tag", "slow")
    assert (stopped.code, stopped.out) == (1, "")
    assert "The catalogue holds no songs yet." in stopped.err
    outcome = run(command, *COMMANDS[command], "--json")
    assert (outcome.code, json.loads(outcome.out)) == (0, [])
    assert "The catalogue holds no songs yet" in outcome.err


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (("lessons", "--write", "plan.pdf"), "let its name end in .toml"),
        (("tab", "dusk", "--write", "dusk.pdf"), "let its name end in .tab or .txt"),
        (("arrange", "dusk", "--write", "dusk"), "let its name end in .tab or .txt"),
        (("place", "dusk", *LICK, "--write", "dusk.mid"), "let its name end in .tab or .txt"),
    ],
)
def test_a_file_of_a_kind_that_is_not_written_is_refused_before_the_work(run, command, said):
    stopped = run(*command)
    assert (stopped.code, stopped.out) == (2, "")
    assert said in stopped.err
