"""The command `audit`."""

import csv
import io
import json

import pytest

from melodex.finder.teaching import catalogue_material as material
from melodex.finder.teaching import repertoire_audit as audit
from melodex.finder.teaching.taught_licks import TaughtLick

DUSK, HARBOUR, DAWN = "the-weir-at-dusk", "harbour-lights-ahead", "the-weir-at-dawn"
LICKS = {"rise": {DUSK: (0, 7), HARBOUR: (0, 7)}, "fall": {HARBOUR: (8, 12)}}


def two_licks(*_, **_named):
    """Place two licks in the songs of the book, by their first and last notes."""
    return [
        TaughtLick(name, False, frozenset((song, *notes) for song, notes in places.items()))
        for name, places in LICKS.items()
    ]


@pytest.fixture(autouse=True)
def licks(monkeypatch, catalogue):
    """Let the catalogue's songs share a lick."""
    assert catalogue.exists()
    monkeypatch.setattr(material, "taught_licks", two_licks)


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
    (pair,) = found["pairs"]
    assert (pair["title_a"], pair["title_b"]) == ("Harbour Lights Ahead", "The Weir at Dusk")
    assert pair["licks"] == ["rise"]
    assert [lick["lick"] for lick in found["taught_often"]] == ["rise"]
    assert [(lick["lick"], lick["taught_in"]) for lick in found["taught_once"]] == [
        ("fall", [HARBOUR])
    ]
    assert ids_of(found["alone"]) == [DAWN]
    assert (found["coverage"], found["comparison"]) == (None, None)


def test_a_copy_in_another_key_shares_all_of_its_time(run):
    (pair,) = audited(run)["pairs"]
    assert (pair["share_a"], pair["beats_a"], pair["measures_a"]) == (1.0, 8.0, [[1, 2]])
    assert pair["same_tune"]


def test_people_see_a_summary_first_then_each_part_under_a_heading(run):
    shown = run("audit").out
    assert shown.startswith("3 songs, 2 tunes; 1 in more than one version.\n")
    assert "1 song shares nothing.\n1 lick in two songs or more, 1 in only one.\n" in shown
    assert "Versions of one tune: 1\n" in shown
    assert "Licks taught by one of these songs only: 1\n" in shown
    assert "The Weir at Dawn" in shown


def test_a_part_with_nothing_in_it_is_not_shown(run):
    assert "Versions of one tune" not in run("audit", "--metre", "3/4").out


def test_people_see_at_most_as_many_rows_as_the_limit_and_how_many_more_there_are(run, monkeypatch):
    monkeypatch.setitem(LICKS, "turn", {DAWN: (0, 2)})
    shown = run("audit", "--limit", "1").out
    assert "Licks taught by one of these songs only: 2\n" in shown
    assert "... and 1 more" in shown


def test_no_id_is_shown_to_people(run):
    shown = run("audit").out + run("audit", "--against-metre", "4/4").out
    assert not [song for song in (DUSK, HARBOUR, DAWN) if song in shown]


def test_a_tune_that_is_in_twice_is_found_and_its_score_cautioned(run, tmp_path):
    twice = tmp_path / "twice.abc"
    noon, lower = "GAc cBG|E2D EGA|Bcd e2d|cAF G3|", "FGB BAF|D2C DFG|ABc d2c|BGE F3|"
    twice.write_text(
        f"X:1\nT:Noon\nM:6/8\nL:1/8\nK:C\n{noon}\n\n"
        f"X:2\nT:Noon, a Tone Down\nM:6/8\nL:1/8\nK:Bb\n{lower.replace('D2C', 'D2G')}\n",
        encoding="utf-8",
    )
    run("add", twice)
    (pair,) = audited(run, "--metre", "6/8")["near_duplicates"]
    assert (pair["song_a"], pair["song_b"]) == ("noon", "noon-a-tone-down")
    assert 0.5 <= pair["score"] < 1  # but for one note the same
    assert pair["expected_by_chance"] is None  # of five songs nobody can tell
    assert pair["transposition"] == -2
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


@pytest.mark.usefixtures("described")
def test_a_lick_comes_first_in_the_song_of_the_lowest_level(run):
    (use,) = audited(run)["taught_often"]
    assert (use["first_in"], use["first_level"]) == ("The Weir at Dusk", 1)
    assert "The Weir at Dusk (level 1)" in run("audit").out


def test_a_song_is_covered_where_the_others_share_its_passages_or_it_is_one_of_them(run):
    coverage = audited(run, "--against-metre", "3/4", "--metre", "4/4")["coverage"]
    assert (coverage["share"], coverage["covered"], coverage["beats"]) == (0.0, 0.0, 16.0)
    assert [lick["lick"] for lick in coverage["missing"]] == ["rise", "fall"]
    coverage = audited(run, "--against-metre", "4/4")["coverage"]
    assert [(song["song"], song["share"]) for song in coverage["songs"]] == [
        (DAWN, 0.0), (HARBOUR, 1.0), (DUSK, 1.0),
    ]  # fmt: skip
    assert coverage["missing"] == []


@pytest.mark.usefixtures("described")
def test_two_groups_by_filters_stand_side_by_side(run):
    shown = run("audit", "--level", "2-3", "--against-level", "1").out
    assert shown.startswith("these songs: 1 song, 1 tune; the others: 1 song, 1 tune.\n")
    assert "In both: 1 tune, 1 lick, " in shown
    assert "Only in these songs: 0 tunes, 1 lick; only in the others: 0 tunes, 0 licks.\n" in shown
    assert "Licks only in these songs: 1\n" in shown
    rows = rows_of(run, "--level", "2-3", "--against-level", "1", "--part", "missing")
    assert [row["lick"] for row in rows] == ["fall"]


@pytest.mark.usefixtures("described")
def test_the_other_songs_are_chosen_by_a_described_column_as_by_a_level(run):
    autumn = audited(run, "--level", "2-3", "--against-where", "term=autumn")
    assert autumn["coverage"] == audited(run, "--level", "2-3", "--against-level", "1")["coverage"]
    assert autumn["coverage"] is not None


def test_a_column_of_two_values_sets_its_groups_side_by_side(run):
    comparison = audited(run, "--by", "metre")["comparison"]
    assert (comparison["group_a"], comparison["group_b"]) == ("3/4", "4/4")
    assert [tune["songs"] for tune in comparison["tunes_only_a"]] == [[DAWN]]
    assert [tune["songs"] for tune in comparison["tunes_only_b"]] == [[HARBOUR, DUSK]]


@pytest.mark.usefixtures("described")
def test_any_two_values_are_compared_whatever_their_capitals(run):
    arguments = ("--by", "term", "--between", "WINTER", "Autumn")
    comparison = audited(run, *arguments)["comparison"]
    assert (comparison["group_a"], comparison["group_b"]) == ("Winter", "autumn")
    (tune,) = rows_of(run, *arguments, "--part", "common_tunes")
    assert (tune["songs_a"], tune["songs_b"]) == (HARBOUR, DUSK)
    assert rows_of(run, *arguments, "--part", "missing_b") == []


@pytest.mark.usefixtures("described")
def test_a_value_that_no_song_has_is_named_with_those_there_are(run):
    stopped = run("audit", "--by", "term", "--between", "autumn", "spring")
    assert stopped.code == 2
    assert "No song has the term 'spring'." in stopped.err
    assert "autumn, Winter, unknown" in stopped.err


@pytest.mark.usefixtures("described")
def test_groups_are_formed_by_a_column_whatever_its_capitals_the_unknown_last(run):
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


@pytest.mark.usefixtures("described")
def test_each_two_groups_are_compared_in_numbers(run):
    rows = rows_of(run, "--by", "level", "--part", "group_pairs")
    assert [(row["group_a"], row["group_b"], row["licks"]) for row in rows] == [
        ("1.0", "2.5", "1"), ("1.0", "", "0"), ("2.5", "", "0"),
    ]  # fmt: skip


@pytest.mark.usefixtures("described")
def test_a_column_that_no_song_has_is_named_with_those_there_are(run):
    stopped = run("audit", "--by", "mood")
    assert stopped.code == 2
    assert "no column 'mood'" in stopped.err
    assert "collection, key, level, metre, tags, term" in stopped.err


def test_csv_prints_the_pairs_or_the_selected_table(run):
    (pair,) = rows_of(run)
    assert (pair["song_a"], pair["song_b"], pair["licks"]) == (HARBOUR, DUSK, "rise")
    matrix = rows_of(run, "--part", "matrix")
    assert [row["song"] for row in matrix] == [HARBOUR, DAWN, DUSK]
    assert matrix[0][DUSK] == pair["share_a"]
    assert matrix[2][HARBOUR] == pair["share_b"]
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
        ["--between", "3/4", "4/4"],
        ["--by", "metre", "--between", "3/4", "3/4"],
        ["--by", "metre", "--between", "3/4", "4/4", "--against-metre", "3/4"],
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


def test_too_many_songs_for_an_audit_need_a_filter(run, monkeypatch):
    monkeypatch.setattr(audit, "MOST_SONGS", 2)
    stopped = run("audit")
    assert stopped.code == 1
    assert "choose 2 or fewer by collection" in stopped.err
    assert audited(run, "--metre", "4/4")["pairs"]
    assert run("audit", "--metre", "4/4", "--against-metre", "3/4").code == 1  # three in all


def test_pictures_are_drawn_into_a_folder_and_named(run, tmp_path):
    folder, plan = tmp_path / "pictures", tmp_path / "plan.toml"
    run("lessons", "--write", plan)
    outcome = run("audit", "--by", "metre", "--plots", folder, "--plan", plan)
    assert outcome.code == 0
    names = sorted(path.name for path in folder.iterdir())
    assert names == [
        "licks_by_songs.svg", "new_material.svg", "shared_material.svg", "two_groups.svg"
    ]  # fmt: skip
    assert all(f"Drawn: {folder / name}" in outcome.err for name in names)


def test_songs_that_share_nothing_have_no_pictures_but_a_notice(run, tmp_path):
    outcome = run("audit", "--metre", "3/4", "--plots", tmp_path / "pictures")
    assert outcome.code == 0
    assert "there is nothing to draw" in outcome.err
    assert not (tmp_path / "pictures").exists()


def test_work_that_is_stopped_leaves_nothing_on_standard_output(run, monkeypatch):
    def stopped(*_arguments, **_named):
        raise KeyboardInterrupt

    monkeypatch.setattr(audit, "overlap_of", stopped)
    outcome = run("audit")
    assert outcome.code != 0
    assert outcome.out == ""
    assert "Traceback" not in outcome.err
