"""The command `shared`."""

import csv
import io
import json

import pytest

KEYS = [
    "first_measure_a", "last_measure_a", "first_measure_b", "last_measure_b",
    "transposition", "score", "expected_by_chance", "notes", "form",
]  # fmt: skip
PHRASES = """X:1
T:Chandler's Stairs
M:4/4
L:1/8
K:G
G2BA dBec|d4 d4|GFED B,CDE|G4 G4|G2BA dBec|d4 d4|

X:2
T:Rope Walk
M:4/4
L:1/8
K:C
c3 B cBAF|c2ed geaf|g4 g4|
"""


@pytest.fixture
def pair(tmp_path, monkeypatch, run):
    """Two songs that share one phrase, twice in the first, a fourth higher in the second."""
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "pair.db"))
    path = tmp_path / "pair.abc"
    path.write_text(PHRASES, encoding="utf-8")
    assert run("add", path).code == 0


@pytest.mark.usefixtures("pair")
def test_a_shared_phrase_is_listed_once_with_measures_on_both_sides(run):
    (row,) = json.loads(run("shared", "chandler", "rope", "--json").out)
    assert list(row) == KEYS
    assert (row["first_measure_b"], row["last_measure_b"]) == (2, 3)
    assert (row["first_measure_a"], row["last_measure_a"]) in {(1, 2), (5, 6)}
    assert (row["transposition"], row["score"], row["notes"]) == (5, 1.0, 9)
    assert row["expected_by_chance"] is None  # unknown among two songs


@pytest.mark.usefixtures("pair")
def test_exchanging_the_songs_exchanges_the_sides_of_a_row(run):
    (there,) = json.loads(run("shared", "chandler", "rope", "--json").out)
    (back,) = json.loads(run("shared", "rope", "chandler", "--json").out)
    assert (back["first_measure_b"], back["transposition"]) == (there["first_measure_a"], -5)


@pytest.mark.usefixtures("pair")
def test_people_see_the_other_places_both_melodies_and_how_much_they_are(run):
    shown = run("shared", "chandler", "rope").out
    assert "first 5-6" in shown or "first 1-2" in shown
    assert "  first   G4 B4 A4 D5 B4 E5 C5 D5 D5" in shown
    assert "  second  C5 E5 D5 G5 E5 A5 F5 G5 G5" in shown
    assert "Chandler's Stairs: 18 of 28 notes (64%)" in shown
    assert "in 4 of 6 measures" in shown


@pytest.mark.usefixtures("pair")
def test_a_song_with_itself_shows_what_it_repeats(run):
    (row,) = json.loads(run("shared", "chandler", "chandler", "--json").out)
    assert [row[key] for key in KEYS[:4]] == [1, 2, 5, 6]
    shown = run("shared", "chandler", "chandler").out
    assert "Form, with measures: A (1-2), B (3-4), A (5-6)" in shown


@pytest.mark.usefixtures("pair")
def test_csv_of_shared_phrases_has_the_columns_of_json(run):
    table = csv.DictReader(io.StringIO(run("shared", "chandler", "rope", "--csv").out))
    assert table.fieldnames == KEYS


@pytest.mark.usefixtures("catalogue")
def test_songs_that_share_nothing_get_a_sentence(run):
    assert "No phrase" in run("shared", "harbour", "dawn").err


@pytest.mark.usefixtures("catalogue")
def test_an_ambiguous_name_exits_1_and_lists_the_candidates(run):
    stopped = run("shared", "harbour", "weir")
    assert stopped.code == 1
    assert "the-weir-at-dusk" in stopped.err
