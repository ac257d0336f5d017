"""Backups: one consistent state, whole or not at all, while others read and write."""

import shutil
import signal
import sqlite3
import subprocess
import sys

import pytest

from melodex.errors import CatalogueError
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.check_catalogue import back_up, check_catalogue
from melodex.finder.collection.demo import add_songbook
from melodex.finder.find_lick import find_lick
from melodex.index.store import open_catalogue
from melodex.search.query import lick_from_abc

LICK = "DEGB AGED"
LATER = "X:1\nT:Added Meanwhile\nL:1/8\nK:G\nDEGA BAG2|\n"


@pytest.fixture(scope="module")
def songbook(tmp_path_factory):
    """The file of a catalogue of the songbook."""
    path = tmp_path_factory.mktemp("songs") / "songs.db"
    with open_catalogue(path, create=True) as catalogue:
        add_songbook(catalogue)
    return path


@pytest.fixture
def own(songbook, tmp_path):
    """An open catalogue of the songbook, which the test may change."""
    path = tmp_path / "songs.db"
    shutil.copy(songbook, path)
    with open_catalogue(path) as catalogue:
        yield catalogue


def content_of(path):
    """All songs with their facts."""
    with open_catalogue(path) as catalogue:
        return [(entry, catalogue.facts(entry.song)) for entry in catalogue.entries()]


def test_a_backup_is_one_file_that_answers_as_the_catalogue_does(own, tmp_path):
    back_up(own, tmp_path / "backup.db")
    assert content_of(tmp_path / "backup.db") == content_of(own.path)
    with open_catalogue(tmp_path / "backup.db") as copy:
        assert find_lick(copy, lick_from_abc(LICK)) == find_lick(own, lick_from_abc(LICK))
    assert [path.name for path in tmp_path.glob("*backup*") if path.is_file()] == ["backup.db"]


def test_songs_added_while_it_is_copied_are_in_the_catalogue_but_not_in_the_backup(own, tmp_path):
    before = content_of(own.path)
    (tmp_path / "later.abc").write_text(LATER, encoding="utf-8")

    def add_meanwhile(_done, _pages):
        with open_catalogue(own.path) as other:
            add_songs(other, [tmp_path / "later.abc"])

    back_up(own, tmp_path / "backup.db", progress=add_meanwhile)
    assert content_of(tmp_path / "backup.db") == before
    assert len(content_of(own.path)) == len(before) + 1


def test_an_earlier_backup_is_replaced_and_can_be_copied_back(own, tmp_path):
    before = content_of(own.path)
    back_up(own, tmp_path / "backup.db")
    song = own.song_ids()[0]
    own.remove(song)
    back_up(own, tmp_path / "second.db")
    assert len(content_of(tmp_path / "second.db")) == len(before) - 1
    own.close()
    with open_catalogue(tmp_path / "backup.db") as backup:
        back_up(backup, own.path)
    assert content_of(own.path) == before


KILLED = """
import os, signal, sys
from pathlib import Path
from melodex.finder.collection.check_catalogue import back_up
from melodex.index.store import open_catalogue
with open_catalogue(Path(sys.argv[1])) as catalogue:
    back_up(catalogue, sys.argv[2], progress=lambda *_: os.kill(os.getpid(), signal.SIGKILL))
"""


def test_a_backup_that_is_killed_leaves_the_earlier_one(own, tmp_path):
    back_up(own, tmp_path / "backup.db")
    before = (tmp_path / "backup.db").read_bytes()
    command = [sys.executable, "-c", KILLED, str(own.path), str(tmp_path / "backup.db")]
    assert subprocess.run(command, check=False).returncode == -signal.SIGKILL
    assert (tmp_path / "backup.db").read_bytes() == before


def test_a_backup_that_does_not_fit_leaves_the_earlier_one(own, tmp_path, monkeypatch):
    back_up(own, tmp_path / "backup.db")
    before = (tmp_path / "backup.db").read_bytes()
    connect = sqlite3.connect

    def on_a_small_disk(file, **options):
        connection = connect(file, **options)
        connection.execute("PRAGMA max_page_count = 10")  # SQLite then says that the disk is full
        return connection

    monkeypatch.setattr("melodex.index.backup.sqlite3.connect", on_a_small_disk)
    with pytest.raises(CatalogueError, match=r"The disk that holds .*backup\.db is full"):
        back_up(own, tmp_path / "backup.db")
    assert (tmp_path / "backup.db").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("songs.db", "is the catalogue itself"),
        ("levels.csv", "exists and is not a melodex catalogue"),
        ("other.db", "exists and is not a melodex catalogue"),
        ("folder", "is no ordinary file"),
        ("nowhere/backup.db", "cannot be written: No such file"),
    ],
)
def test_what_is_no_backup_is_never_replaced(own, tmp_path, name, problem):
    (tmp_path / "levels.csv").write_text("song,level\n", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    with sqlite3.connect(tmp_path / "other.db") as other:
        other.execute("CREATE TABLE songs (title)")
    other.close()
    before = {path: path.read_bytes() for path in tmp_path.iterdir() if path.suffix == ".csv"}
    with pytest.raises(CatalogueError, match=problem):
        back_up(own, tmp_path / name)
    assert {path: path.read_bytes() for path in before} == before


def test_a_backup_that_somebody_has_open_is_not_replaced(own, tmp_path):
    back_up(own, tmp_path / "backup.db")
    with open_catalogue(tmp_path / "backup.db") as opened:
        opened.song_ids()
        with pytest.raises(CatalogueError, match="in use"):
            back_up(own, tmp_path / "backup.db")
    back_up(own, tmp_path / "backup.db")


def test_a_sound_catalogue_has_no_faults_and_says_which_files_changed(own, tmp_path):
    for name in ("kept.abc", "changed.abc", "gone.abc"):
        (tmp_path / name).write_text(LATER.replace("Added", name), encoding="utf-8")
    add_songs(own, tmp_path.glob("*.abc"))
    (tmp_path / "changed.abc").write_text(LATER, encoding="utf-8")
    (tmp_path / "gone.abc").unlink()
    found = check_catalogue(own)
    assert found.sound
    assert found.songs == len(own.song_ids())
    assert found.changed_files == (str(tmp_path / "changed.abc"),)
    assert found.missing_files == (str(tmp_path / "gone.abc"),)


def test_a_song_whose_notes_changed_on_the_disk_is_named(own):
    song = own.song_ids()[7]
    with own.writing() as connection:
        connection.execute(
            "UPDATE melody SET notes = zeroblob(length(notes)) "
            "WHERE song = (SELECT id FROM song WHERE song = ?)",
            (song,),
        )
    found = check_catalogue(own)
    assert not found.sound
    assert [fault.song for fault in found.faults] == [song]
    assert "add its file again" in found.faults[0].next_step
