"""The command `near`."""

import csv
import io
import json

import pytest

KEYS = ["song", "title", "score", "expected_by_chance", "transposition"]


@pytest.mark.usefixtures("catalogue")
def test_the_songs_most_alike_come_first_in_any_key_without_the_song_itself(run):
    rows = json.loads(run("near", "dusk", "--json").out)
    assert list(rows[0]) == KEYS
    assert [row["song"] for row in rows] == ["harbour-lights-ahead", "the-weir-at-dawn"]
    assert (rows[0]["score"], rows[0]["transposition"]) == (1.0, 5)
    assert rows[1]["score"] < 1
    assert rows[0]["expected_by_chance"] is None  # unknown among three songs


@pytest.mark.usefixtures("catalogue")
def test_near_songs_may_be_limited_and_filtered(run):
    assert len(json.loads(run("near", "dusk", "--limit", "1", "--json").out)) == 1
    rows = json.loads(run("near", "dusk", "--metre", "3/4", "--json").out)
    assert [row["song"] for row in rows] == ["the-weir-at-dawn"]


@pytest.mark.usefixtures("catalogue")
def test_csv_of_near_songs_has_the_columns_of_json(run):
    assert csv.DictReader(io.StringIO(run("near", "dusk", "--csv").out)).fieldnames == KEYS


@pytest.mark.usefixtures("catalogue")
def test_people_see_scores_and_key_changes_and_the_caution(run):
    shown = run("near", "dusk")
    assert "Harbour Lights Ahead" in shown.out
    assert "up 5" in shown.out
    assert "no legal opinion" in shown.err


@pytest.mark.usefixtures("catalogue")
def test_a_song_that_is_not_there_or_not_alone_exits_1_with_a_sentence(run):
    for name in ("weir", "no such tune"):
        stopped = run("near", name)
        assert stopped.code == 1
        assert "Next:" in stopped.err


def test_a_song_alone_in_its_catalogue_has_none_near(run, tmp_path, monkeypatch):
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "one.db"))
    path = tmp_path / "one.abc"
    path.write_text("X:1\nT:One Note\nK:C\nC4|\n", encoding="utf-8")
    run("add", path)
    assert json.loads(run("near", "one", "--json").out) == []
    assert "no other song" in run("near", "one").err
