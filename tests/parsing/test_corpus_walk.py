"""Finding files, folders and bundled collections."""

import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest

from melodex.errors import MelodexError
from melodex.parsing.corpus_walk import bundled_files, bundled_names, music_files
from melodex.parsing.formats import read_file


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("b/two.krn", "b/one.ABC", "a.mxl", "c/.hidden.abc", ".git/d.abc", "b/notes.txt"):
        path = tmp_path / "books" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("Bring picks.\n" if name == "b/notes.txt" else "X:1\nK:C\nC|\n")
    return tmp_path / "books"


def shown(walk) -> list[str]:
    return [file.shown_as for file in walk.files]


def test_folders_are_walked_in_order_without_hidden_files(folder):
    walk = music_files([folder])
    assert [file.path.relative_to(folder).as_posix() for file in walk.files] == [
        "a.mxl",
        "b/one.ABC",
        "b/two.krn",
    ]
    assert (walk.failures, walk.skipped) == ((), 1)


def test_a_file_is_shown_as_named_and_belongs_to_the_folder_that_holds_it(folder, monkeypatch):
    monkeypatch.chdir(folder.parent)
    walk = music_files([Path("books/b"), Path("books/a.mxl")])
    assert shown(walk) == ["books/b/one.ABC", "books/b/two.krn", "books/a.mxl"]
    assert [file.collection for file in walk.files] == ["b", "b", "books"]


def test_a_file_in_the_current_folder_belongs_to_that_folder(folder, monkeypatch):
    monkeypatch.chdir(folder)
    (file,) = music_files([Path("a.mxl")]).files
    assert file.collection == "books"


def test_a_file_named_twice_is_listed_once(folder):
    walk = music_files([folder / "b" / "one.ABC", folder, folder])
    assert len(walk.files) == 3


def test_a_link_that_leads_in_a_circle_is_walked_once(folder):
    (folder / "b" / "circle").symlink_to(folder, target_is_directory=True)
    assert len(music_files([folder]).files) == 3


def test_a_link_to_itself_fails_when_it_is_read_and_the_others_are_walked(folder):
    (folder / "z.abc").symlink_to(folder / "z.abc")
    (folder / "z").symlink_to(folder / "z")
    files = music_files([folder]).files
    assert len(files) == 4
    assert read_file(files[-1].path).songs == ()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
@pytest.mark.parametrize("name", ["pipe.txt", "pipe.tab", "pipe.abc"])
def test_a_pipe_named_like_music_is_listed_and_not_waited_for(folder, name):
    os.mkfifo(folder / name)
    walk = music_files([folder])
    assert str(folder / name) in shown(walk)
    (failure,) = read_file(folder / name).failures
    assert failure.reason == "it is not an ordinary file"


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no such device")
def test_a_device_named_by_the_user_or_linked_in_a_folder_is_listed(folder):
    (folder / "zeros.txt").symlink_to("/dev/zero")
    walk = music_files([Path("/dev/zero"), folder])
    assert [failure.file for failure in walk.failures] == ["/dev/zero"]
    assert read_file(walk.files[-1].path).failures[0].reason == "it is not an ordinary file"


def test_folders_may_be_nested_deeper_than_calls(tmp_path):
    deepest = tmp_path.joinpath(*["a"] * 150)
    deepest.mkdir(parents=True)
    (deepest / "b.abc").write_text("X:1\nK:C\nC|\n")
    usual = sys.getrecursionlimit()
    sys.setrecursionlimit(len(inspect.stack()) + 100)
    try:
        files = music_files([tmp_path]).files
    finally:
        sys.setrecursionlimit(usual)
    assert [file.path.name for file in files] == ["b.abc"]


def test_a_linked_folder_is_walked(folder, tmp_path):
    (tmp_path / "shelf").mkdir()
    (tmp_path / "shelf" / "books").symlink_to(folder, target_is_directory=True)
    assert len(music_files([tmp_path / "shelf"]).files) == 3


def test_a_named_file_of_an_unknown_kind_is_a_failure(folder):
    (folder / "notes.doc").write_text("Bring picks.")
    walk = music_files([folder / "notes.doc"])
    (failure,) = walk.failures
    assert walk.files == ()
    assert failure.file.endswith("notes.doc")
    assert "'.doc' cannot be read, only .abc" in failure.reason


def test_a_text_in_a_folder_is_taken_by_what_it_holds(folder):
    (folder / "tab.txt").write_text("|-0-0-|\n" * 5)
    (folder / "tune.txt").write_text("X:1\nK:C\nC|\n")
    assert [file.path.name for file in music_files([folder]).files[-2:]] == ["tab.txt", "tune.txt"]
    assert all(read_file(folder / name).songs for name in ("tab.txt", "tune.txt"))


@pytest.mark.parametrize("name", ["gone", "gone.txt", "gone.abc"])
def test_a_path_that_leads_nowhere_is_a_failure(folder, name):
    walk = music_files([folder / name, folder])
    (failure,) = walk.failures
    assert failure.reason == "there is no such file or folder"
    assert len(walk.files) == 3


def test_a_dead_link_inside_a_folder_fails_when_it_is_read(folder):
    (folder / "z.abc").symlink_to(folder / "gone.abc")
    file = music_files([folder]).files[-1]
    assert read_file(file.path).failures[0].reason == "there is no such file or folder"


def test_a_folder_that_may_not_be_opened_is_a_failure_and_the_others_are_walked(
    folder, monkeypatch
):
    # The tests may run as a user with all permissions, so the system's refusal is simulated.
    list_folder = Path.iterdir

    def refuse(path):
        if path.name == "b":
            raise PermissionError(13, "Permission denied")
        return list_folder(path)

    monkeypatch.setattr(Path, "iterdir", refuse)
    walk = music_files([folder])
    assert [failure.reason for failure in walk.failures] == ["you have no permission to read it"]
    assert shown(walk) == [str(folder / "a.mxl")]


def test_nothing_named_is_nothing_found():
    assert music_files([]).files == ()


def test_bundled_collections_are_named_in_order():
    names = bundled_names()
    assert names == sorted(names)
    assert {"airdsAirs", "essenFolksong", "oneills1850", "ryansMammoth", "palestrina"} <= set(names)
    assert "_metadataCache" not in names


@pytest.mark.parametrize(
    ("name", "count"),
    # Counted in music21 10.5.1's corpus folder with find.
    [("airdsAirs", 6), ("essenFolksong", 31), ("oneills1850", 39), ("ryansMammoth", 1059)],
)
def test_a_bundled_collection_has_all_its_files(name, count):
    files = bundled_files(name)
    assert len(files) == count
    assert [file.shown_as for file in files] == sorted(file.shown_as for file in files)
    assert {file.collection for file in files} == {name}
    assert all(file.path.is_file() for file in files)


def test_a_bundled_file_is_shown_without_the_machines_path():
    assert "essenFolksong/altdeu10.abc" in [
        file.shown_as for file in bundled_files("essenFolksong")
    ]


def test_files_in_folders_of_a_bundled_collection_belong_to_it():
    shown_as = [file.shown_as for file in bundled_files("mozart")]
    assert any(name.count("/") == 2 for name in shown_as)


def test_an_unknown_bundled_collection_is_reported_with_those_there_are():
    with pytest.raises(MelodexError, match="no collection named 'essen'") as caught:
        bundled_files("essen")
    assert "essenFolksong" in caught.value.next_step


def test_listing_and_reading_abc_does_not_load_music21():
    program = (
        "import sys; from melodex.parsing.corpus_walk import bundled_files; "
        "from melodex.parsing.formats import read_file; "
        "assert read_file(bundled_files('airdsAirs')[0].path).songs; "
        "assert 'music21' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
