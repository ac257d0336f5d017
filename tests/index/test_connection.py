"""A catalogue that cannot be opened, read or written gives an error with a next step."""

import contextlib
import errno
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from melodex.errors import CatalogueError, ReadOnlyError
from melodex.index import connection as connection_module
from melodex.index.connection import connect, explained_errors
from melodex.index.intake.build import add_files
from melodex.index.kept_licks import remember_listed
from melodex.index.store import open_catalogue
from tests.index.toy_reader import read_toy_file, toy_file
from tests.ordinary_user import as_an_ordinary_user, open_folder


def test_the_next_step_for_a_missing_catalogue_is_to_add_songs(tmp_path):
    with pytest.raises(CatalogueError, match="There is no catalogue at") as caught:
        open_catalogue(tmp_path / "missing" / "songs")
    assert "melodex add" in caught.value.next_step
    assert not (tmp_path / "missing").exists()


def test_a_missing_folder_is_made_for_a_new_catalogue(tmp_path):
    path = tmp_path / "a" / "b?c#d %41" / "songs"
    open_catalogue(path, create=True).close()
    with open_catalogue(path) as catalogue:
        assert catalogue.path == path
        assert catalogue.entries() == []


OTHER_PROCESS = """
import sys
from pathlib import Path
from melodex.index.store import open_catalogue
with open_catalogue(Path(sys.argv[1])) as catalogue, catalogue.writing() as connection:
    connection.execute("UPDATE catalogue SET melody_version = ?", (sys.argv[2],))
"""


def test_a_catalogue_stays_in_use_for_other_processes_while_one_of_its_connections_is(tmp_path):
    path, seen, written = tmp_path / "songs", "5ee" + "0" * 29, "a" * 32
    command = [sys.executable, "-c", OTHER_PROCESS, str(path)]
    with open_catalogue(path, create=True) as first:
        first.melody_version()
        open_catalogue(path).close()  # as the next request of a site does
        subprocess.run([*command, seen], check=True)
        assert path.with_name("songs-wal").exists()  # the last to close it removes it
        assert first.melody_version() == seen
        with first.writing() as connection:
            connection.execute("UPDATE catalogue SET melody_version = ?", (written,))
        with contextlib.closing(sqlite3.connect(path)) as other:
            assert other.execute("SELECT melody_version FROM catalogue").fetchone() == (written,)


@pytest.mark.parametrize("create", [True, False])
def test_a_folder_is_no_catalogue(tmp_path, create):
    with pytest.raises(CatalogueError, match="is a folder"):
        open_catalogue(tmp_path, create=create)


def test_a_file_in_the_place_of_a_folder_is_named(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CatalogueError, match="cannot be used"):
        open_catalogue(tmp_path / "file" / "songs", create=True)


@pytest.mark.parametrize("create", [True, False])
def test_a_text_is_no_catalogue_and_stays_as_it_is(tmp_path, create):
    path = tmp_path / "notes.txt"
    text = "These are not the songs you are looking for. " * 100
    path.write_text(text)
    with pytest.raises(CatalogueError, match="is not a melodex catalogue"):
        open_catalogue(path, create=create)
    assert path.read_text() == text


def test_an_empty_file_becomes_a_catalogue(tmp_path):
    path = tmp_path / "songs"
    path.touch()
    with pytest.raises(CatalogueError, match="There is no catalogue"):
        open_catalogue(path)
    open_catalogue(path, create=True).close()
    open_catalogue(path).close()


def test_a_catalogue_cut_short_is_called_damaged(catalogue, tmp_path):
    tunes = [f"{number}|Tune {number}|60 62 64" for number in range(300)]
    add_files(catalogue, [toy_file(tmp_path / "a.toy", tunes)], read=read_toy_file)
    catalogue.close()
    content = catalogue.path.read_bytes()
    half = len(content) // 2
    catalogue.path.write_bytes(content[:half] + b"\xff" * (len(content) - half))
    with (
        pytest.raises(CatalogueError, match="is damaged") as caught,
        open_catalogue(catalogue.path) as damaged,
    ):
        list(damaged.melodies())
    assert "add your files again" in caught.value.next_step


def test_a_full_disk_gets_a_sentence_and_what_was_written_stays(catalogue, tmp_path):
    first = toy_file(tmp_path / "a.toy", ["1|Waltz|60"])
    second = toy_file(tmp_path / "b.toy", [f"{number}|Tune|60 62" for number in range(500)])
    add_files(catalogue, [first], read=read_toy_file)
    with catalogue.reading() as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        # A limit on pages has the same effect as a full disk: SQLITE_FULL (sqlite.org/pragma.html).
        connection.execute(f"PRAGMA max_page_count = {pages + 1}")
        with pytest.raises(CatalogueError, match="is full") as caught:
            add_files(catalogue, [first, second], read=read_toy_file)
        assert "free some space" in caught.value.next_step
        assert catalogue.song_ids() == ["waltz"]
        connection.execute("PRAGMA max_page_count = 1000000")
    assert add_files(catalogue, [first, second], read=read_toy_file).added == 500


def test_a_full_disk_found_by_the_system_gets_the_same_sentence():
    with (
        pytest.raises(CatalogueError, match="The disk that holds songs is full"),
        explained_errors(Path("songs")),
    ):
        raise OSError(errno.ENOSPC, "No space left on device")


def test_a_mistake_of_ours_is_not_blamed_on_the_file(catalogue):
    with pytest.raises(sqlite3.OperationalError, match="syntax"), catalogue.reading() as connection:
        connection.execute("SELEKT 1")


def test_a_writer_that_does_not_finish_is_named_as_the_reason(catalogue, tmp_path, monkeypatch):
    monkeypatch.setattr(connection_module, "LONGEST_WAIT_SECONDS", 0.05)
    file = toy_file(tmp_path / "a.toy", ["1|Waltz|60"])
    with open_catalogue(catalogue.path) as impatient, catalogue.writing():
        with pytest.raises(CatalogueError, match="Another program is writing"):
            add_files(impatient, [file], read=read_toy_file)
        assert impatient.song_ids() == []  # reading needs no turn


def test_a_catalogue_that_may_not_be_opened_gets_a_sentence():
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "songs"
        open_catalogue(path, create=True).close()
        path.chmod(0)
        Path(folder).chmod(0o755)
        with as_an_ordinary_user(), pytest.raises(CatalogueError, match="cannot be opened"):
            open_catalogue(path)


@pytest.fixture
def shelf():
    """Return a folder that everybody may enter, with a catalogue of one song in it."""
    with open_folder() as folder:
        with open_catalogue(folder / "songs", create=True) as made:
            file = toy_file(folder / "a.toy", ["1|Waltz|60"])
            add_files(made, [file], read=read_toy_file)
        yield folder
        folder.chmod(0o777)


READ_ONLY = [(0o444, 0o555), (0o666, 0o555), (0o444, 0o777)]  # the file's mode and the folder's


@pytest.mark.parametrize(("file", "folder"), READ_ONLY)
def test_a_catalogue_that_may_only_be_read_is_read(shelf, file, folder):
    path = shelf / "songs"
    path.chmod(file)
    shelf.chmod(folder)
    before = sorted(shelf.iterdir())
    with as_an_ordinary_user(), open_catalogue(path) as catalogue:
        assert catalogue.song_ids() == ["waltz"]
        assert len(catalogue.song("waltz").melody) == 1
    with as_an_ordinary_user(), open_catalogue(path, create=True) as catalogue:
        assert catalogue.song_ids() == ["waltz"]
    assert sorted(shelf.iterdir()) == before  # nothing that would keep its owner out


@pytest.mark.parametrize(("file", "folder"), READ_ONLY)
def test_writing_to_a_catalogue_that_may_only_be_read_gets_a_sentence(shelf, file, folder):
    path = shelf / "songs"
    path.chmod(file)
    shelf.chmod(folder)
    with as_an_ordinary_user(), open_catalogue(path) as catalogue:
        with pytest.raises(ReadOnlyError, match="may not be written") as caught:
            catalogue.remove("waltz")
        remember_listed(catalogue, [])  # searching goes without it
    assert "copy the catalogue" in caught.value.next_step


def test_a_reader_who_may_not_write_sees_what_another_user_is_adding(shelf):
    path = shelf / "songs"
    with open_catalogue(path) as writer:
        file = toy_file(shelf / "b.toy", ["1|Reel|60"])
        add_files(writer, [file], read=read_toy_file)  # stands in the file beside it as yet
        shelf.chmod(0o555)
        with as_an_ordinary_user(), open_catalogue(path) as reader:
            assert reader.song_ids() == ["reel", "waltz"]
            writer.remove("waltz")
            assert reader.song_ids() == ["reel"]


def test_a_catalogue_without_what_was_written_last_is_not_read_as_if_it_were_whole(shelf, tmp_path):
    path = shelf / "songs"
    with open_catalogue(path) as writer:
        file = toy_file(shelf / "b.toy", ["1|Reel|60"])
        add_files(writer, [file], read=read_toy_file)
        for name in ("songs", "songs-wal"):  # as an incomplete copy would
            shutil.copy(shelf / name, tmp_path)
    for name in ("songs", "songs-wal"):
        shutil.copy(tmp_path / name, shelf)
    shelf.chmod(0o555)
    with as_an_ordinary_user(), pytest.raises(CatalogueError, match="cannot be opened") as caught:
        open_catalogue(path)
    assert "allow reading and writing" in caught.value.next_step


def test_a_new_catalogue_in_a_folder_that_may_not_be_written_gets_a_sentence(shelf):
    shelf.chmod(0o555)
    with as_an_ordinary_user(), pytest.raises(CatalogueError, match="Permission denied") as caught:
        open_catalogue(shelf / "new" / "songs", create=True)
    assert "--catalogue or in MELODEX_CATALOGUE" in caught.value.next_step
    with as_an_ordinary_user(), pytest.raises(CatalogueError, match="cannot be opened"):
        open_catalogue(shelf / "songs-2", create=True)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_no_catalogue_and_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "songs")
    with pytest.raises(CatalogueError, match="no ordinary file"):
        open_catalogue(tmp_path / "songs", create=True)


def test_a_folder_that_may_not_be_entered_gets_a_sentence():
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0)
        with as_an_ordinary_user(), pytest.raises(CatalogueError, match="Permission denied"):
            open_catalogue(Path(folder) / "songs")
        Path(folder).chmod(0o755)


def test_a_failed_opening_leaves_no_open_file(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("no catalogue at all" * 100)
    for _ in range(3):
        with pytest.raises(CatalogueError):
            connect(path, create=False)
    # Windows would refuse, and an unclosed connection is a warning, which fails the tests.
    path.rename(tmp_path / "elsewhere.txt")
