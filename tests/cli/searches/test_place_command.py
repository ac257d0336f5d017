"""The command `place`."""

import json

import pytest

from melodex.parsing.formats import read_file

KEYS = {"first_measure", "last_measure", "fit", "chords", "tab", "because"}  # of the interface


@pytest.fixture
def hill(catalogue, tmp_path, run):
    """A catalogue that also holds a song with chords, a held note, and notes below the banjo."""
    book = tmp_path / "hill.abc"
    head = "M:4/4\nL:1/8\nK:G\n"
    book.write_text(
        f'X:1\nT:Hill and Hollow\n{head}"G"G,2B,2D2B,2|"C"C2E2G2E2|"D7"A,8|"G"G,2B,2D2G,2|\n\n'
        f"X:2\nT:Deep Well\n{head}G,,2B,,2D,2B,,2|G,,8|\n",
        encoding="utf-8",
    )
    assert run("add", book).code == 0
    return catalogue


LICK = ("--abc", "M:4/4\nL:1/8\nK:G\nA2F2D2A2|")


@pytest.mark.usefixtures("hill")
def test_places_are_shown_with_reasons_and_both_tabs(run):
    shown = run("place", "hill", *LICK, "--limit", "1")
    assert shown.code == 0
    assert "\n1. Measure 3, fit 0." in shown.out
    assert "100% of it are notes of the chord D7." in shown.out
    assert "As it is:" in shown.out
    assert "With the lick:" in shown.out
    assert shown.out.count("g|") == 2


@pytest.mark.usefixtures("hill")
def test_one_heading_stands_above_all_tabs(run):
    shown = run("place", "hill", *LICK)
    assert shown.out.startswith(
        "Title: Hill and Hollow\nTuning: open G (gDGBD)\nKey: G major\nMetre: 4/4\n\n1. Measure"
    )
    assert shown.out.count("Tuning:") == 1


@pytest.mark.usefixtures("hill")
def test_json_has_the_keys_of_the_interface(run):
    rows = json.loads(run("place", "hill", *LICK, "--json").out)
    assert len(rows) == 3
    assert all(row.keys() >= KEYS for row in rows)
    assert [row["fit"] for row in rows] == sorted((row["fit"] for row in rows), reverse=True)


@pytest.mark.usefixtures("hill")
def test_chords_that_are_not_stated_are_said_to_be_estimated(run):
    rows = json.loads(run("place", "harbour", "--notes", "C4:q E4 G4 E4", "--json").out)
    assert rows[0]["chords_estimated"]
    assert "estimated from the melody" in rows[0]["because"][0]


@pytest.mark.usefixtures("hill")
def test_the_song_is_written_with_the_lick_in_the_place_chosen(run, tmp_path):
    path = tmp_path / "hill.musicxml"
    rows = json.loads(run("place", "hill", *LICK, "--json").out)
    said = run("place", "hill", *LICK, "--write", path, "--number", "2")
    assert f"Written: {path}" in said.err
    melody = read_file(path).songs[0].melody
    here = melody.measures == rows[1]["first_measure"]
    assert (melody.pitches[here] - rows[1]["transposition"]).tolist() == [69, 66, 62, 69]


@pytest.mark.usefixtures("hill")
def test_a_number_that_is_no_place_is_refused(run, tmp_path):
    refused = run("place", "hill", *LICK, "--write", tmp_path / "a.tab", "--number", "9")
    assert refused.code == 2
    assert "choose a number from 1 to 4" in refused.err
    assert not (tmp_path / "a.tab").exists()


@pytest.mark.usefixtures("hill")
def test_a_place_that_has_the_lick_already_is_a_remark(run):
    shown = run("place", "hill", "--from", "hill", "--measures", "2")
    assert "Hill and Hollow has it in measure 2 already." in shown.err


@pytest.mark.usefixtures("hill")
def test_every_place_where_find_lists_the_lick_is_a_remark(run):
    # The triad of measure 2 stands in measure 1 on G, and in measure 4 with another last note.
    query = ("--from", "hill", "--measures", "2")
    rows = json.loads(run("find", *query, "--all-places", "--json").out)
    found = {row["first_measure"] for row in rows if row["song"] == "hill-and-hollow"}
    err = run("place", "hill", *query).err
    assert found
    assert all(f"measure {measure}" in err for measure in found)


@pytest.mark.usefixtures("hill")
def test_a_song_off_the_neck_is_laid_on_it_and_octaves_that_lead_off_it_are_refused(run):
    assert run("place", "deep well", *LICK).code == 0
    refused = run("place", "deep well", *LICK, "--octaves", "0")
    assert refused.code == 1
    assert "Measure 1 of Deep Well has a note 7 half-steps below the fourth string." in refused.err
    assert "--octaves 1" in refused.err


@pytest.mark.usefixtures("hill")
def test_another_metre_is_refused_with_a_next_step(run):
    refused = run("place", "dawn", *LICK)
    assert refused.code == 1
    assert "The lick is in 4/4, and measure 1 of The Weir at Dawn is in 3/4." in refused.err
    assert "M:3/4" in refused.err


@pytest.mark.usefixtures("hill")
def test_a_lick_in_tab_is_placed_with_its_techniques(run):
    tab = "3:2T 3:h4 5:0T 1:0M 3:0T 2:0I 5:0T 1:0M"
    rows = json.loads(run("place", "hill", "--tab", tab, "--json").out)
    own = [row for row in rows if row["transposition"] == 0]
    assert own
    for row in own:
        assert "h4" in row["tab"]
        assert "It keeps its strings and frets." in row["because"]
        assert row["form"] == "as written"
