"""The public Python API gives the command's rows as tables."""

from datetime import date

import pytest

import melodex
from tests.songbook import SONGBOOK


@pytest.fixture(scope="module")
def songbook(tmp_path_factory):
    """A catalogue of two terms' tunes."""
    with melodex.open_catalogue(tmp_path_factory.mktemp("songs") / "songs.db") as catalogue:
        melodex.add_songs(catalogue, [SONGBOOK / "autumn_term.abc", SONGBOOK / "winter_term.abc"])
        yield catalogue


def test_near_songs_are_a_table_with_the_commands_columns(songbook):
    song = melodex.list_songs(songbook)["song"].iloc[0]
    table = melodex.nearest_songs(songbook, song, limit=3)
    assert list(table) == ["song", "title", "score", "expected_by_chance", "transposition"]
    assert len(table) == 3
    assert table["score"].is_monotonic_decreasing
    assert song not in set(table["song"])


def test_without_a_limit_every_other_song_is_in_the_table(songbook):
    songs = melodex.list_songs(songbook)["song"]
    table = melodex.nearest_songs(songbook, songs.iloc[0], limit=None)
    assert sorted([*table["song"], songs.iloc[0]]) == sorted(songs)


def test_shared_phrases_are_a_table_that_mirrors_when_the_songs_are_exchanged(songbook):
    a, b = melodex.list_songs(songbook)["song"].iloc[:2]
    there, back = melodex.shared_phrases(songbook, a, b), melodex.shared_phrases(songbook, b, a)
    assert list(there)[:4] == [
        "first_measure_a", "last_measure_a", "first_measure_b", "last_measure_b",
    ]  # fmt: skip
    assert back["first_measure_a"].tolist() == there["first_measure_b"].tolist()
    assert (-back["transposition"]).tolist() == there["transposition"].tolist()


def test_recurring_licks_are_a_table_and_a_lick_of_it_can_be_kept_and_found(songbook):
    table = melodex.recurring_licks(songbook, limit=3)
    assert list(table)[:5] == ["lick", "name", "degrees", "notes", "rhythm"]
    assert table["surprise"].is_monotonic_decreasing
    kept = melodex.keep_lick(songbook, "first of the list", table["lick"].iloc[0])
    found = melodex.find_lick(songbook, kept)
    assert found["score"].iloc[0] == 1


def test_places_for_a_lick_are_a_table_best_first(songbook):
    lick = melodex.lick_from_names("G4 E4 D4 B3 A3 G3")
    places = melodex.place_lick(songbook, "frost", lick, limit=4)
    assert len(places) == 4
    assert places["fit"].is_monotonic_decreasing
    assert {"first_measure", "last_measure", "chords", "tab", "because"} <= set(places.columns)


def test_the_tab_of_a_place_counts_the_beats_if_wanted(songbook):
    lick = melodex.lick_from_names("G4 E4 D4 B3 A3 G3")
    plain, counted = (
        melodex.place_lick(songbook, "frost", lick, limit=1, count=count)["tab"].iloc[0]
        for count in (False, True)
    )
    assert "1 " in counted.splitlines()[-1]
    assert len(counted.splitlines()) == len(plain.splitlines()) + 1


def test_a_plan_is_a_table_of_lessons_with_how_good_it_is(songbook):
    table = melodex.plan_lessons(
        songbook, melodex.song_filter(metres=["3/4"]), limits=melodex.Limits(lessons=2), seconds=2
    )
    assert list(table)[:4] == ["lesson", "song", "title", "level"]
    assert table["lesson"].tolist() == [1, 2]
    assert [list(stage) for stage in table.attrs["stages"]] == [["aim", "value", "bound"]] * 3
    assert table.attrs["optimal"]
    assert table.attrs["limits"]["lessons"] == 2


def test_what_is_known_and_comes_next_are_tables(songbook, tmp_path):
    student = tmp_path / "ann.csv"
    song, other = melodex.list_songs(songbook)["song"].iloc[:2]
    student.write_text(f"song\n{song}\n", encoding="utf-8")
    known = melodex.known_material(songbook, song, student)
    assert list(known) == ["measure", "beats", "known_beats", "known", "known_from"]
    assert (known.attrs["song"], known.attrs["share"], known.attrs["beat"]) == (song, 1.0, 1.0)
    coming = melodex.next_songs(songbook, str(student), limit=None)
    assert song not in set(coming["song"])
    assert other in set(coming["song"])


def test_what_was_taught_is_known_and_its_review_is_a_row(songbook, tmp_path):
    student = tmp_path / "ann.txt"
    song, other = melodex.list_songs(songbook)["song"].iloc[:2]
    student.write_text(f"{other}\n", encoding="utf-8")
    line = melodex.mark_song_taught(songbook, song, student, day="2027-01-11")
    assert student.read_text(encoding="utf-8") == f"{other}\n{line}\n"
    assert melodex.known_material(songbook, song, student).attrs["share"] == 1.0
    assert melodex.reviews_due(songbook, student, on="2027-01-15").empty
    due = melodex.reviews_due(songbook, student, on=date(2027, 1, 16))
    assert list(due) == ["student", "song", "lick", "taught", "times", "due"]
    assert due.to_dict("records") == [
        {
            "student": "",
            "song": song,
            "lick": None,
            "taught": date(2027, 1, 11),
            "times": 1,
            "due": date(2027, 1, 16),
        }
    ]


def test_an_audit_is_a_table_for_each_of_its_parts(songbook):
    waltzes, jigs = melodex.song_filter(metres=["3/4"]), melodex.song_filter(metres=["6/8"])
    tables = melodex.audit(songbook, waltzes, against=jigs, by="metre")
    assert list(tables.pairs)[:2] == ["song_a", "title_a"]
    assert list(tables.matrix) == list(tables.matrix.index) == tables.songs["song"].tolist()
    assert sorted(tables.coverage["song"]) == sorted(tables.songs["song"])
    assert tables.coverage.attrs["covered"] == tables.coverage["covered"].sum()
    assert list(tables.missing) == list(tables.common_licks) == list(tables.taught_once)
    assert sorted(tables.coverage_b["song"]) == sorted(melodex.audit(songbook, jigs).songs["song"])
    assert list(tables.groups) == ["3/4"]
    assert tables.groups["3/4"].pairs.equals(tables.pairs)
    assert melodex.audit(songbook, jigs).coverage.empty
    assert tables.techniques.attrs["with_tab"] == 0


def test_two_groups_of_songs_are_drawn_side_by_side(songbook, tmp_path):
    waltzes, jigs = melodex.song_filter(metres=["3/4"]), melodex.song_filter(metres=["6/8"])
    alone = melodex.draw_audit(songbook, tmp_path, waltzes)
    compared = melodex.draw_audit(songbook, tmp_path, waltzes, against=jigs)
    assert [file for file in compared if file not in alone] == [tmp_path / "two_groups.svg"]
