"""The derived arrays: kept where they can be, made again when anything is wrong with them."""

import os
import shutil
import stat
import sys
import tempfile
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from melodex.index.blocks import ARRAYS_FILE, gather, load_blocks
from melodex.index.intake.build import add_files
from melodex.index.store import Catalogue, open_catalogue
from tests.index.toy_reader import read_toy_file, toy_file
from tests.ordinary_user import as_an_ordinary_user, open_folder

ONLY_UNIX = pytest.mark.skipif(sys.platform == "win32", reason="has other permissions")
TUNES = ["1|Waltz|60 62 64", "2|Reel|70 71", "3|Hymn|60 60 60 60"]


@pytest.fixture
def songs(catalogue, tmp_path):
    add_files(catalogue, [toy_file(tmp_path / "a.toy", TUNES)], read=read_toy_file)
    return catalogue


def _place(catalogue: Catalogue) -> Path:
    return catalogue.path.with_name(catalogue.path.name + ".arrays")


def _file(catalogue: Catalogue) -> Path:
    """Return the one file of arrays beside a catalogue."""
    (path,) = _place(catalogue).glob(f"*/{ARRAYS_FILE}")
    return path


def _assert_right(blocks, catalogue):
    """The arrays are those that are computed from the catalogue."""
    expected = gather(catalogue)
    assert blocks.song_ids == expected.song_ids
    for record, other in ((blocks.songs, expected.songs), (blocks.lanes, expected.lanes)):
        for field in fields(record):
            np.testing.assert_array_equal(
                getattr(record, field.name), getattr(other, field.name), strict=True
            )


def test_arrays_are_made_once_and_mapped_again(songs):
    _assert_right(load_blocks(songs), songs)
    made = _file(songs).stat()
    _assert_right(load_blocks(songs), songs)
    assert (_file(songs).stat().st_ino, _file(songs).stat().st_mtime_ns) == (
        made.st_ino,
        made.st_mtime_ns,
    )


def test_arrays_of_an_empty_catalogue_are_kept_too(catalogue):
    _assert_right(load_blocks(catalogue), catalogue)
    _assert_right(load_blocks(catalogue), catalogue)


def test_arrays_may_not_be_changed_wherever_they_are(songs, monkeypatch):
    kept = load_blocks(songs)
    monkeypatch.setattr("melodex.index.derived_files.DerivedFiles.write", lambda *_: None)
    shutil.rmtree(_place(songs))
    in_memory = load_blocks(songs)
    for blocks in (kept, in_memory):
        assert not blocks.songs.pitches.flags.writeable
        assert blocks.songs.onsets.flags.aligned


def test_a_changed_catalogue_has_other_arrays_and_the_old_ones_go(songs, tmp_path):
    load_blocks(songs)
    add_files(songs, [toy_file(tmp_path / "b.toy", ["1|Jig|50 52"])], read=read_toy_file)
    _assert_right(load_blocks(songs), songs)
    assert len(list(_place(songs).iterdir())) == 1


def _put_in_its_place(path, kind):
    """Put something else in the place of a file, or of its folder."""
    match kind:
        case "nothing":
            path.unlink()
        case "a folder":
            path.unlink()
            path.mkdir()
            (path / "x").touch()
        case "a link to itself":
            path.unlink()
            path.symlink_to(path)
        case "nothing for its folder":
            shutil.rmtree(path.parent)
        case _:
            assert kind == "a file for its folder"
            shutil.rmtree(path.parent)
            path.parent.touch()


@pytest.mark.parametrize(
    "kind",
    ["nothing", "a folder", "a link to itself", "nothing for its folder", "a file for its folder"],
)
def test_missing_arrays_are_made_again_whatever_is_in_their_place(songs, kind):
    load_blocks(songs)
    _put_in_its_place(_file(songs), kind)
    _assert_right(load_blocks(songs), songs)
    assert _file(songs).stat().st_size > 0


@pytest.mark.parametrize(
    "damaged",
    [
        lambda _: b"",
        lambda content: content[:20],
        lambda content: content[:-1],
        lambda content: content + b"more",
        lambda content: content.replace(b'"waltz"', b'"walts"'),
        lambda content: b"\xff" * len(content),
    ],
    ids=["empty", "short line", "short", "long", "changed", "rubbish"],
)
def test_damaged_arrays_are_made_again(songs, damaged):
    load_blocks(songs)
    whole = _file(songs).read_bytes()
    _file(songs).write_bytes(damaged(whole))
    _assert_right(load_blocks(songs), songs)
    assert _file(songs).read_bytes() == whole


def test_any_byte_of_the_list_that_is_changed_is_noticed(songs):
    load_blocks(songs)
    content = _file(songs).read_bytes()
    for place in range(content.index(b"\n") + 1):
        damaged = bytearray(content)
        damaged[place] ^= 0x10
        _file(songs).write_bytes(damaged)
        _assert_right(load_blocks(songs), songs)


@pytest.fixture
def no_home(monkeypatch, tmp_path_factory):
    """Where a user's cache and temporary files are, for tests to allow or forbid."""
    tmp_path_factory.getbasetemp()  # before temporary files lie elsewhere
    with open_folder() as folder:
        (folder / "cache").mkdir()
        (folder / "temporary").mkdir()
        (folder / "temporary").chmod(0o777)
        monkeypatch.setenv("XDG_CACHE_HOME", str(folder / "cache"))
        monkeypatch.setattr(tempfile, "tempdir", str(folder / "temporary"))
        yield folder


@pytest.mark.skipif(sys.platform != "linux", reason="names the cache as Linux does")
def test_where_nothing_fits_beside_the_catalogue_the_users_cache_is_used(songs, no_home):
    _place(songs).write_text("another program's")
    _assert_right(load_blocks(songs), songs)
    _assert_right(load_blocks(songs), songs)
    assert len(list((no_home / "cache").rglob(ARRAYS_FILE))) == 1
    assert _place(songs).read_text() == "another program's"


@ONLY_UNIX
def test_where_there_is_no_cache_either_the_users_temporary_files_are_used(songs, no_home):
    _place(songs).touch()
    (no_home / "cache").rmdir()
    (no_home / "cache").touch()
    _assert_right(load_blocks(songs), songs)
    assert len(list((no_home / "temporary").rglob(ARRAYS_FILE))) == 1


def test_where_nothing_can_be_kept_arrays_are_in_memory(songs, no_home):
    _place(songs).touch()
    (no_home / "cache").rmdir()
    (no_home / "cache").touch()
    (no_home / "temporary").rmdir()
    (no_home / "temporary").touch()
    _assert_right(load_blocks(songs), songs)


def test_no_folder_is_removed_but_those_of_other_states(songs):
    load_blocks(songs)
    shutil.rmtree(_file(songs).parent)
    for name in ("photographs", "9-0123456789abcdef", "new-x"):
        (_place(songs) / name).mkdir()
    load_blocks(songs)
    names = {path.name for path in _place(songs).iterdir()}
    assert names == {"photographs", "new-x", _file(songs).parent.name}


@ONLY_UNIX
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644, 0o664, 0o666])
def test_arrays_are_as_open_to_others_as_their_catalogue(songs, mode):
    songs.path.chmod(mode)
    load_blocks(songs)
    folder = {0o600: 0o700, 0o640: 0o750, 0o644: 0o755, 0o664: 0o775, 0o666: 0o777}[mode]
    assert stat.S_IMODE(_place(songs).stat().st_mode) == folder
    assert stat.S_IMODE(_file(songs).parent.stat().st_mode) == folder
    assert stat.S_IMODE(_file(songs).stat().st_mode) == mode


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="only the superuser can play two users"
)
@pytest.mark.parametrize("mode", [0o644, 0o666])
def test_two_users_share_a_catalogue_and_its_arrays(no_home, tmp_path, mode):
    shared = no_home / "songs"
    with open_catalogue(shared, create=True) as mine:
        add_files(mine, [toy_file(tmp_path / "a.toy", TUNES)], read=read_toy_file)
        shared.chmod(mode)
        load_blocks(mine)
        with as_an_ordinary_user(), open_catalogue(shared) as theirs:
            _assert_right(load_blocks(theirs), mine)
        assert not list((no_home / "temporary").iterdir())  # they needed none of their own


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="only the superuser can play two users"
)
def test_arrays_that_another_user_keeps_private_are_done_without(no_home, tmp_path):
    shared = no_home / "songs"
    with open_catalogue(shared, create=True) as mine:
        add_files(mine, [toy_file(tmp_path / "a.toy", TUNES)], read=read_toy_file)
        shared.chmod(0o666)
        load_blocks(mine)
        _file(mine).parent.chmod(0o700)  # as every melodex left it before format 10
        with as_an_ordinary_user(), open_catalogue(shared) as theirs:
            _assert_right(load_blocks(theirs), mine)


def test_arrays_with_a_single_flipped_bit_are_made_again(songs):
    load_blocks(songs)
    content = bytearray(_file(songs).read_bytes())
    start = content.index(b"\n") + 1
    for place in range(start, len(content), max((len(content) - start) // 25, 1)):
        damaged = content.copy()
        damaged[place] ^= 0x20
        _file(songs).write_bytes(damaged)
        _assert_right(load_blocks(songs), songs)
