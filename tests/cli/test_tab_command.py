"""The command `tab`, and tab in files and queries."""

import json

import pytest

from tests.songbook import SONGBOOK

TAB = """\
Coal Shed Roll

D|-----0-----0---0-|-----0-----0-----|
B|---0-------------|---1-------------|
G|-0-----0-----2h4-|-----------------|
D|-----------------|-2---------------|
g|-------------0---|-------0-----0---|
"""


@pytest.fixture
def shed(catalogue, tmp_path, run):
    """A catalogue that also holds a text tab, from a folder with a text that is none."""
    folder = tmp_path / "class"
    folder.mkdir()
    (folder / "shed.txt").write_text(TAB.replace("2h4", "--0"), encoding="utf-8")
    (folder / "notes.txt").write_text("Bring picks - and a tuner - on Tuesday.\n", encoding="utf-8")
    added = run("add", folder)
    assert added.code == 0
    assert "read as 1/8" in added.err + added.out
    return catalogue


@pytest.mark.usefixtures("shed")
def test_text_tab_is_added_from_a_folder_and_other_texts_are_passed_over(run):
    rows = json.loads(run("songs", "--json").out)
    assert "Coal Shed Roll" in {row["title"] for row in rows}
    assert len(rows) == 4


@pytest.mark.usefixtures("shed")
def test_a_song_that_came_as_tab_is_shown_as_it_was(run):
    shown = run("tab", "coal shed").out
    assert "G|-0-----0-----" in shown
    assert "measure" not in run("tab", "coal shed").err


@pytest.mark.usefixtures("catalogue")
def test_the_rolls_of_an_arrangement_are_named(run):
    assert run("add", SONGBOOK / "over_the_weighbridge.musicxml").code == 0
    said = run("tab", "weighbridge").err
    # Source: the songbook's roll_labels.csv, labelled by hand.
    assert "Roll: pinch in measures 4, 8, 16." in said
    assert "Roll: alternating-thumb in measures 9-12." in said


@pytest.mark.usefixtures("catalogue")
def test_measures_are_shown_though_the_rest_of_the_song_lies_off_the_neck(tmp_path, run):
    book = tmp_path / "wide.abc"
    book.write_text("X:1\nT:Wide Gate\nM:4/4\nL:1/4\nK:G\nGABd|C,,4|c'''4|\n", encoding="utf-8")
    assert run("add", book).code == 0
    refused = run("tab", "wide gate")
    assert refused.code == 1
    assert "Measure 2 of Wide Gate" in refused.err
    assert "--measures A-B" in refused.err
    assert "Wide Gate" in run("tab", "wide gate", "--measures", "1").out


@pytest.mark.usefixtures("catalogue")
def test_a_song_without_strings_is_fingered_with_a_remark(run):
    shown = run("tab", "dusk", "--measures", "1-1")
    # d4 e4 g4 a4 b4 a4 g4 e4 would need fret 9; an octave lower it begins on the open fourth
    # string. Common practice, no source.
    assert "D|:-0-2-----------2-|" in shown.out.splitlines()
    assert "computed; it is 1 octave below what is written" in shown.err


@pytest.mark.usefixtures("catalogue")
def test_what_is_written_is_added_again_as_the_same_song(run, tmp_path):
    for name in ("dusk.tab", "dusk.musicxml"):
        path = tmp_path / name
        assert run("tab", "dusk", "--write", path).code == 0
        assert run("add", path).code == 0
        lick = ("--from", "the-weir-at-dusk", "--measures", "1-4")
        rows = json.loads(run("find", *lick, "--json").out)
        assert [row["score"] for row in rows[:2]] == [1.0, 1.0]
        assert run("remove", rows[1]["song"]).code == 0


@pytest.mark.usefixtures("catalogue")
def test_a_song_may_be_fingered_for_another_tuning_up_the_neck_and_with_a_capo(run):
    shown = run("tab", "dusk", "--tuning", "double C", "--capo", "2", "--up-the-neck").out
    assert "Tuning: double C (gCGCD)" in shown
    assert "Capo: 2" in shown


@pytest.mark.usefixtures("catalogue")
def test_what_does_not_lie_on_the_neck_exits_1_with_a_next_step(run):
    stopped = run("tab", "dusk", "--octaves", "-2")
    assert stopped.code == 1
    assert "below the fourth string" in stopped.err
    assert "Next: move it by whole octaves" in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_cautions_appear_on_screen_and_in_the_files(tmp_path, run):
    book = tmp_path / "leap.abc"
    book.write_text("X:1\nT:Far Gate\nM:4/4\nL:1/8\nK:G\nE2E2E2E2|Ee'Ee'E4|\n", encoding="utf-8")
    assert run("add", book).code == 0
    caution = "The left hand leaps in measure 2."
    assert caution in run("tab", "far-gate").err
    assert "leaps" not in run("tab", "dusk").err
    for name in ("far.tab", "far.musicxml"):
        path = tmp_path / name
        assert caution in run("tab", "far-gate", "--write", path).err
        assert caution in path.read_text(encoding="utf-8")
        assert run("add", path).code == 0
        easy = run("tab", "far-gate", "--measures", "1", "--write", path)
        assert "leaps" not in easy.err + path.read_text(encoding="utf-8")


@pytest.mark.usefixtures("catalogue")
def test_what_a_file_cannot_hold_is_printed_when_it_is_written(tmp_path, run):
    book = tmp_path / "sung.abc"
    book.write_text(
        "X:1\nT:Sung Gate\nM:4/4\nL:1/4\nK:G\nGABd|\nw:far a-way now\n", encoding="utf-8"
    )
    assert run("add", book).code == 0
    assert "The words are left out" in run("tab", "sung", "--write", tmp_path / "a.tab").err
    assert "left out" not in run("tab", "sung", "--write", tmp_path / "a.musicxml").err
    assert "left out" not in run("tab", "sung").err


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    "command", [("tab", "dusk"), ("arrange", "dusk"), ("place", "dusk", "--notes", "C4:q F4 A4 F4")]
)
def test_the_beats_are_counted_on_demand(run, command):
    assert "1 & 2 & 3 & 4 &" in run(*command, "--count").out
    assert "1 & 2 &" not in run(*command).out


@pytest.mark.usefixtures("catalogue")
def test_an_unknown_tuning_or_suffix_is_a_mistake_on_the_command_line(run, tmp_path):
    for arguments in (["--tuning", "ladder"], ["--write", tmp_path / "dusk.pdf"]):
        stopped = run("tab", "dusk", *arguments)
        assert stopped.code == 2
        assert "Next:" in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_a_file_that_cannot_be_written_gets_a_sentence(run, tmp_path):
    stopped = run("tab", "dusk", "--write", tmp_path / "no folder" / "dusk.tab")
    assert stopped.code == 1
    assert "cannot be written" in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_a_lick_given_by_string_and_fret_is_found_wherever_its_notes_are(run):
    answers = [
        json.loads(run("find", "--tab", text, "--json").out)
        for text in ("1:0 1:2 1:5 1:7 2:0", "2:3 2:5 5:0 5:7 3:4")
    ]
    by_name = json.loads(run("find", "--notes", "D4 E4 G4 A4 B3", "--json").out)
    assert answers[0] == answers[1] == by_name
    stopped = run("find", "--tab", "1:0 1:30")
    assert stopped.code == 2
