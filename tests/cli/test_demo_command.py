"""The command `demo`."""

import json
import shutil

import pytest

from melodex.finder.collection import demo


@pytest.fixture
def data_folder(tmp_path, monkeypatch):
    """A data folder of the user's; platformdirs follows XDG_DATA_HOME on Linux."""
    folder = tmp_path / "data"
    monkeypatch.setenv("XDG_DATA_HOME", str(folder))
    return folder / "melodex"


def test_the_demo_finds_songs_in_a_catalogue_of_its_own(run, data_folder, catalogue):
    before = catalogue.read_bytes()
    shown = run("demo")
    assert shown.code == 0
    assert "Long Table Supper" in shown.out
    assert (data_folder / "demo.db").exists()
    assert catalogue.read_bytes() == before


def test_the_demo_leaves_a_catalogue_of_other_songs_alone_even_if_it_is_named(run, catalogue):
    before = catalogue.read_bytes()
    refused = run("demo", "--catalogue", catalogue)
    assert refused.code == 1
    assert "holds songs that are not the demo's" in refused.err
    assert catalogue.read_bytes() == before


def test_the_demo_of_another_installation_shows_no_song_twice(run, tmp_path, monkeypatch):
    other = tmp_path / "songbook"
    shutil.copytree(demo.songbook_folder(), other)
    path = tmp_path / "demo.db"
    assert run("demo", "--catalogue", path).code == 0
    monkeypatch.setattr(demo, "songbook_folder", lambda: other)
    assert run("demo", "--catalogue", path).code == 0
    assert len(json.loads(run("songs", "--catalogue", path, "--json").out)) == 57
