"""The commands `licks`, `keep`, `kept` and `forget`."""

import csv
import io
import json

import pytest

KEYS = ["lick", "name", "degrees", "notes", "rhythm", "chords", "songs", "occurrences", "tab"]
# Three tunes that share one phrase, G c B A G D E F G2, in three keys.
BOOK = """X:1
T:The Weir at Dusk
M:4/4
L:1/8
K:G
"G"G2 d2 cB A2|"D7"G2 D2 EF G2|"C"e2 ce f2 ag|"G"b4 g4|

X:2
T:Harbour Lights
M:4/4
L:1/8
K:C
"F"f2 a2 c'2 ab|"C"g4 e4|"C"C2 G2 FE D2|"G7"C2 G,2 A,B, C2|

X:3
T:Lock Gate Jig
M:4/4
L:1/8
K:D
"D"f4 a4|"D"D2 A2 GF E2|"A7"D2 A,2 B,^C D2|"G"bgdB G4|
"""


@pytest.fixture
def shared_book(tmp_path, monkeypatch, run):
    path = tmp_path / "locks.abc"
    path.write_text(BOOK, encoding="utf-8")
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "locks.db"))
    assert run("add", path).code == 0


@pytest.mark.usefixtures("shared_book")
def test_a_row_has_the_promised_keys_and_every_place(run):
    (row,) = json.loads(run("licks", "--json").out)
    assert set(KEYS) <= set(row)
    assert row["songs"] == 3
    places = [(p["song"], p["first_measure"], p["last_measure"]) for p in row["occurrences"]]
    assert places == [("harbour-lights", 3, 4), ("lock-gate-jig", 2, 3), ("the-weir-at-dusk", 1, 2)]
    assert row["degrees"] == ["1", "5", "4", "3", "2", "1", "5", "6", "7", "1"]
    assert row["notes"][0] == "G4"
    assert row["rhythm"] == ["q", "q", "e", "e", "q", "q", "q", "e", "e", "q"]
    assert row["chords"] == ["G", "D7"]
    assert row["chords_estimated"] is False


@pytest.mark.usefixtures("shared_book")
def test_a_lick_and_its_places_are_given_by_measure_and_beat(run):
    (row,) = json.loads(run("licks", "--json").out)
    span = ("first_measure", "first_beat", "last_measure", "last_beat")
    assert [row[key] for key in span] == [1, 1.0, 2, 4.0]
    places = [[place[key] for key in span] for place in row["occurrences"]]
    assert places == [[3, 1.0, 4, 4.0], [2, 1.0, 3, 4.0], [1, 1.0, 2, 4.0]]


@pytest.mark.usefixtures("shared_book")
def test_people_read_number_degrees_notes_length_chords_and_places(run):
    out = run("licks").out
    for words in (
        "1. The Weir at Dusk, measures 1-2: 3 places in 3 songs", "degrees  1  5  4  3  2  1",
        "notes    G4 D5 C5 B4 A4 G4", "rhythm   q  q  e  e  q  q", "in G major",
        "beat 1 of measure 1 to beat 4 of measure 2", "chords G D7", "Lock Gate Jig 2-3",
    ):  # fmt: skip
        assert words in out


@pytest.mark.usefixtures("shared_book")
def test_people_read_a_line_of_tab_with_its_count_and_no_id(run):
    out = run("licks").out
    assert "D|-----0---" in out  # D4, an octave lower than written, after the open third string
    assert "1 & 2 & 3 & 4 &" in out
    assert "the-weir-at-dusk" not in out


@pytest.mark.usefixtures("shared_book")
def test_a_kept_lick_is_listed_under_its_own_name(run):
    run("licks")
    run("keep", "turn home", "1")
    (row,) = json.loads(run("licks", "--json").out)
    assert (row["lick"], row["name"]) == ("the-weir-at-dusk-m1-2", "turn home")
    assert "1. turn home: 3 places" in run("licks").out


@pytest.mark.usefixtures("shared_book")
def test_a_chord_selects_licks_played_over_it_somewhere(run):
    (row,) = json.loads(run("licks", "--chord", "D", "--json").out)
    assert row["lick"] == "lock-gate-jig-m2-3"
    assert row["songs"] == 3
    nothing = run("licks", "--chord", "Ebm")
    assert (nothing.code, nothing.out) == (0, "")
    assert "over Ebm" in nothing.err


@pytest.mark.usefixtures("shared_book")
def test_what_is_not_a_chord_is_refused(run):
    refused = run("licks", "--chord", "H7")
    assert refused.code == 2
    assert "not a chord symbol" in refused.err


@pytest.mark.usefixtures("shared_book")
def test_a_spreadsheet_gets_a_row_a_lick_with_its_places_as_text(run):
    (row,) = csv.DictReader(io.StringIO(run("licks", "--csv").out))
    assert "lock-gate-jig:2-3" in row["occurrences"].split()


@pytest.mark.usefixtures("catalogue")
def test_songs_that_share_no_lick_and_filters_that_leave_none_get_a_sentence(run):
    assert "No two of these 3 songs share a lick" in run("licks").err
    assert "no song" in run("licks", "--tag", "waltz").err
    assert json.loads(run("licks", "--json").out) == []


@pytest.mark.usefixtures("catalogue")
def test_a_single_song_gets_the_sentence_that_nothing_recurs(run):
    for song in ("harbour-lights-ahead", "the-weir-at-dawn"):
        run("remove", song)
    assert "only one song" in run("licks").err


@pytest.mark.usefixtures("shared_book")
@pytest.mark.parametrize("lick", ["1", "the-weir-at-dusk-m1-2", "the weir at dusk, measures 1-2"])
def test_a_listed_lick_is_kept_and_finds_its_songs(run, lick):
    run("licks")
    assert run("keep", "turn home", lick).code == 0
    rows = json.loads(run("find", "--lick", "Turn Home", "--json").out)
    assert [row["score"] for row in rows] == [1.0, 1.0, 1.0]


@pytest.mark.usefixtures("catalogue")
def test_any_query_form_can_be_kept_listed_and_forgotten(run):
    assert run("keep", "rise", "--notes", "D4 E4 G4 A4").code == 0
    (row,) = json.loads(run("kept", "--json").out)
    assert (row["name"], row["notes"]) == ("rise", ["D4", "E4", "G4", "A4"])
    assert "rise" in run("kept").out
    assert run("keep", "way up", "--lick", "rise").code == 0
    assert [row["notes"] for row in json.loads(run("kept", "--json").out)] == [row["notes"]] * 2
    assert run("forget", "way up").code == run("forget", "rise").code == 0
    assert "No lick is kept yet" in run("kept").err


@pytest.mark.usefixtures("catalogue")
def test_unknown_names_say_what_is_known(run):
    unknown = run("find", "--lick", "rise")
    assert unknown.code == 1
    assert "none is kept yet" in unknown.err
    assert "list the licks again" in run("keep", "rise", "3").err


@pytest.mark.usefixtures("catalogue")
def test_a_lick_is_given_once(run):
    assert run("keep", "rise").code == 2
    assert run("keep", "rise", "1", "--notes", "D4 E4").code == 2
    assert run("find", "--lick", "rise", "--notes", "D4 E4").code == 2
