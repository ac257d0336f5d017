"""The command `find`, in all its query forms."""

import csv
import io
import json

import pytest

LICK = "D4 E4 G4 A4 B4"
KEYS = [
    "song", "title", "first_measure", "last_measure", "measures", "transposition", "score", "cost",
    "expected_by_chance", "form", "alignment", "places",
]  # fmt: skip


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    "query",
    [
        ("--notes", LICK),
        ("--notes", "A3 B3 D4 E4 F#4"),
        ("--degrees", "5, 6, 1 2 3"),
        ("--abc", "DEGA B4"),
        ("--abc", "K:D\nL:1/4\nABde f"),
        ("--from", "harbour", "--measures", "1"),
    ],
)
def test_every_query_form_finds_the_lick_in_any_key(run, query):
    rows = json.loads(run("find", *query, "--json").out)
    assert [row["song"] for row in rows[:2]] == ["harbour-lights-ahead", "the-weir-at-dusk"]
    assert [row["cost"] for row in rows[:2]] == [0, 0]


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize("printed", [(), ("--json",), ("--csv",)])
def test_a_lick_cut_from_a_song_names_the_whole_title(run, printed):
    found = run("find", "--from", "harb", "--measures", "1", *printed)
    assert "cut from Harbour Lights Ahead, measure 1." in found.err


@pytest.mark.usefixtures("catalogue")
def test_assumptions_made_in_reading_a_lick_are_printed(run):
    assert "bracket is not closed" in run("find", "--abc", "[DEG2 BAGE").err
    assert "Ties written before their second note" in run("find", "--abc", "d2 -dB AGED").err


@pytest.mark.usefixtures("catalogue")
def test_a_lick_in_a_file_is_found(run, tmp_path):
    lick = tmp_path / "lick.abc"
    lick.write_text("X:1\nT:lick\nL:1/8\nK:F\nCDFG A4|\n", encoding="utf-8")
    rows = json.loads(run("find", "--file", lick, "--json").out)
    assert rows[0]["cost"] == 0


@pytest.mark.usefixtures("catalogue")
def test_a_row_has_the_promised_keys_and_no_chance_level_in_a_handful_of_songs(run):
    row = json.loads(run("find", "--notes", LICK, "--json").out)[1]
    assert list(row) == KEYS
    assert row["title"] == "The Weir at Dusk"
    assert (row["first_measure"], row["last_measure"], row["measures"]) == (1, 1, [1])
    assert row["alignment"] == [[0, 0], [1, 1], [2, 2], [3, 3], [4, 4]]
    assert (row["score"], row["expected_by_chance"]) == (1.0, None)
    assert row["form"] == "as written"


@pytest.mark.usefixtures("catalogue")
def test_csv_has_the_same_columns_as_json(run):
    table = csv.DictReader(io.StringIO(run("find", "--notes", LICK, "--csv").out))
    assert table.fieldnames == KEYS
    assert next(table)["measures"] == "1"


@pytest.mark.usefixtures("catalogue")
def test_a_lick_across_the_repeats_seam_lists_its_measures_in_the_order_played(run):
    rows = json.loads(run("find", "--notes", "G4 A4 G4:h D4:e E4 G4 A4", "--json").out)
    assert rows[0]["song"] == "the-weir-at-dusk"
    assert rows[0]["measures"] == [2, 1]
    assert (rows[0]["first_measure"], rows[0]["last_measure"]) == (2, 1)


@pytest.mark.usefixtures("catalogue")
def test_people_see_both_melodies_and_the_caution(run):
    shown = run("find", "--notes", LICK)
    assert "lick    D4 E4 G4 A4 B4" in shown.out
    assert "no legal opinion" in shown.err


@pytest.mark.usefixtures("catalogue")
def test_filters_leave_the_other_songs_out(run):
    rows = json.loads(run("find", "--notes", LICK, "--metre", "3/4", "--json").out)
    assert [row["song"] for row in rows] == ["the-weir-at-dawn"]


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    ("arguments", "problem"),
    [
        ((), "not given"),
        (("--notes", LICK, "--abc", "DEG"), "several ways"),
        (("--notes", "D4 X9"), "'X9' is not a note"),
        (("--abc", "[[["), "ABC text"),
        (("--from", "harbour"), "belong together"),
        (("--from", "harbour", "--measures", "x"), "names no measures"),
        (("--from", "harbour", "--measures", "1-" + "9" * 5_000), "names no measures"),
        (("--from", "harbour", "--measures", "3-1"), "backwards"),
        (("--from", "harbour", "--measures", "90-99"), "0 notes"),
        (("--notes", LICK, "--level", "hard"), "not a level"),
        (("--notes", LICK, "--json", "--csv"), "exclude each other"),
        (("--notes", LICK, "--frobnicate"), "--frobnicate"),
        (("--notes", LICK, "--limit", "0"), "--limit"),
    ],
)
def test_a_wrong_command_line_exits_2_with_a_sentence(run, arguments, problem):
    stopped = run("find", *arguments)
    assert stopped.code == 2
    assert problem in stopped.err
    assert "Traceback" not in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_an_ambiguous_song_lists_the_candidates_and_exits_1(run):
    stopped = run("find", "--from", "weir", "--measures", "1-2")
    assert stopped.code == 1
    assert "the-weir-at-dawn" in stopped.err
    assert "the-weir-at-dusk" in stopped.err


def test_without_a_catalogue_the_next_step_is_to_add_songs(run, tmp_path):
    stopped = run("find", "--notes", LICK, "--catalogue", tmp_path / "none.db")
    assert stopped.code == 1
    assert "Next:" in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_five_notes_are_marked_as_weak_evidence_and_six_are_not(run):
    assert "5 notes are weak evidence" in run("find", "--notes", LICK).err
    assert "weak" not in run("find", "--notes", f"{LICK} G4").err


@pytest.mark.usefixtures("catalogue", "book")  # a catalogue that no other test has searched
@pytest.mark.parametrize("search", ["find", "near", "shared"])
def test_the_first_search_after_songs_were_added_says_why_it_takes_long(run, monkeypatch, search):
    monkeypatch.setattr("melodex.cli.printing.first_search_text.MANY_SONGS", 1)
    arguments = {
        "find": ("find", "--notes", "D4 E4 G4 A4 B4 A4"),
        "near": ("near", "Harbour"),
        "shared": ("shared", "Harbour", "Dusk"),
    }[search]
    assert "working out once" in run(*arguments).err
