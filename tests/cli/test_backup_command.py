"""Copying a catalogue and checking it."""

import json
import sqlite3

import pytest


@pytest.mark.usefixtures("catalogue")
def test_a_backup_lists_the_same_songs(run, tmp_path):
    outcome = run("backup", tmp_path / "backup.db")
    assert (outcome.code, outcome.out) == (0, f"Copied to {tmp_path / 'backup.db'}: 3 songs.\n")
    assert run("songs", "--catalogue", tmp_path / "backup.db").out == run("songs").out


def test_a_backup_onto_the_catalogue_itself_is_refused(run, catalogue):
    outcome = run("backup", catalogue)
    assert outcome.code == 1
    assert "is the catalogue itself" in outcome.err


def test_a_check_names_files_that_changed_or_are_gone(run, catalogue, book):
    assert run("check").out == f"The catalogue {catalogue} is sound: 3 songs.\n"
    book.write_text("changed", encoding="utf-8")
    assert f"add them again to read them:\n  {book}\n" in run("check").out
    book.unlink()
    outcome = run("check")
    assert outcome.code == 0
    assert f"their songs stay in the catalogue:\n  {book}\n" in outcome.out


def test_a_check_of_a_damaged_catalogue_names_the_song_and_ends_with_1(run, catalogue):
    with sqlite3.connect(catalogue) as connection:
        connection.execute("UPDATE melody SET notes = x'00' WHERE song = 2")
    connection.close()
    outcome = run("check", "--json")
    assert outcome.code == 1
    (fault,) = json.loads(outcome.out)["faults"]
    assert fault["song"] == "harbour-lights-ahead"
    outcome = run("check")
    assert outcome.code == 1
    assert "is damaged; it lists 3 songs" in outcome.out
    assert "Next: remove that song and add its file again" in outcome.out
