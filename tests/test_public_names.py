"""The public Python API: what each name explains, and that its examples run."""

import inspect
import re
import textwrap
from typing import Any

import pandas as pd
import pytest

import melodex
from melodex.finder.collection.demo import songbook_folder

CLASSES = ("MelodexError",)  # raised by the others, never called
NAMES = [name for name in melodex.__all__ if name not in (*CLASSES, "__version__")]
TABLES = [
    "audit", "find_lick", "find_shape", "group_songs", "judge_lessons", "kept_licks",
    "known_material", "list_songs", "melody_vectors", "nearest_songs", "next_songs", "place_lick",
    "plan_lessons", "plan_lessons_again", "recurring_licks", "reviews_due", "shared_phrases",
]  # fmt: skip


@pytest.fixture
def files(tmp_path_factory):
    """The files that the examples name; some examples change them."""
    folder = tmp_path_factory.mktemp("files")
    (folder / "ann.csv").write_text("song\ncinder-path\n", encoding="utf-8")
    (folder / "plan.toml").write_text('[[lesson]]\nsong = "cinder-path"\n', encoding="utf-8")
    (folder / "lick.abc").write_text("X:1\nT:lick\nL:1/8\nK:G\nDEGA BAG2|\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    """The songbook, with its levels and tags."""
    with melodex.open_catalogue(tmp_path_factory.mktemp("songs") / "songs.db") as catalogue:
        melodex.add_songs(catalogue, songbook_folder())
        melodex.describe_songs(catalogue, songbook_folder() / "levels.csv")
        yield catalogue


def documentation(name):
    return inspect.getdoc(getattr(melodex, name)) or ""


def example_of(name):
    return documentation(name).partition("Examples\n--------\n")[2]


def parameters_of(name):
    return list(inspect.signature(getattr(melodex, name)).parameters)


@pytest.mark.parametrize("name", NAMES)
def test_help_explains_every_parameter_but_the_catalogue(name):
    section = documentation(name).partition("Parameters\n----------\n")[2]
    described = {
        word.strip()
        for line in re.findall(r"^(\w[\w, ]*) : ", section, re.MULTILINE)
        for word in line.split(",")
    }
    explained = described | {"catalogue"}
    assert [each for each in parameters_of(name) if each not in explained] == []


@pytest.mark.parametrize("name", NAMES)
def test_help_has_an_example(name):
    assert f"{name}(" in example_of(name)


@pytest.mark.parametrize("name", [name for name in NAMES if ">>>" not in example_of(name)])
def test_the_example_of_help_runs_on_the_songbook(name, shelf, files, monkeypatch, tmp_path):
    code = textwrap.dedent(example_of(name).removeprefix("::\n"))
    values = {
        "melodex": melodex,
        "pandas": pd,
        "catalogue": shelf,
        "folder": tmp_path,
        "book": songbook_folder() / "warm_ups.abc",
        "levels": songbook_folder() / "levels.csv",
        "student_file": tmp_path / "ann.csv",  # a copy: what is taught is added to it
        "plan_file": files / "plan.toml",
    }
    for name_of_file in ("lick.abc", "ann.csv"):
        (tmp_path / name_of_file).write_bytes((files / name_of_file).read_bytes())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "tunes").mkdir()
    before = set(melodex.kept_licks(shelf)["name"])
    exec(code, values)  # noqa: S102 - our own words
    for kept in set(melodex.kept_licks(shelf)["name"]) - before:
        melodex.forget_lick(shelf, kept)
    if name == "remove_song":
        melodex.add_songs(shelf, songbook_folder())


def tables_of(name, shelf, files):
    """Call a function that returns tables on the songbook."""
    lick = melodex.lick_from_names("G4 E4 D4 B3 A3 G3")
    some = melodex.song_filter(metres="3/4")
    arguments: dict[str, Any] = {
        "audit": ((some,), {"against": melodex.song_filter(level=1)}),
        "find_lick": ((lick,), {}),
        "find_shape": (("up, down, up",), {}),
        "group_songs": (("term",), {}),
        "judge_lessons": ((files / "plan.toml",), {}),
        "kept_licks": ((), {}),
        "known_material": (("cinder-path", files / "ann.csv"), {}),
        "list_songs": ((), {}),
        "melody_vectors": (("cinder-path",), {}),
        "nearest_songs": (("cinder-path",), {}),
        "next_songs": ((files / "ann.csv",), {"which": some}),
        "place_lick": (("frost", lick), {}),
        "plan_lessons": ((some,), {"seconds": 1}),
        "plan_lessons_again": ((files / "plan.toml",), {"seconds": 1}),
        "recurring_licks": ((), {"limit": 2, "which": some}),
        "reviews_due": ((files / "ann.csv",), {"on": "2027-02-01"}),
        "shared_phrases": (("cinder-path", "cinder-path"), {}),
    }
    given, named = arguments[name]
    found = getattr(melodex, name)(shelf, *given, **named)
    return found._asdict() if name == "audit" else {"": found}


@pytest.mark.parametrize("name", TABLES)
def test_help_names_every_column_and_attribute_of_the_tables(name, shelf, files):
    explained = set(re.findall(r"``(\w+)``", documentation(name)))
    tables = tables_of(name, shelf, files)
    assert [part for part in tables if part and part not in explained] == []
    for part in tables.keys() - {"matrix", "groups"}:  # of these the columns are songs, or values
        names = [*tables[part].columns, *tables[part].attrs]
        assert names
        assert [each for each in names if each not in explained] == []


def test_every_name_that_returns_a_table_is_looked_at():
    annotations = {name: str(inspect.signature(getattr(melodex, name))) for name in NAMES}
    returns = [name for name, text in annotations.items() if re.search("DataFrame$|Tables$", text)]
    assert sorted(returns) == TABLES


def test_help_on_the_package_lists_every_name():
    explained = set(re.findall(r"``(\w+)``", melodex.__doc__ or ""))
    assert [name for name in NAMES if name not in explained] == []


def test_the_version_is_the_installed_ones():
    assert re.fullmatch(r"\d+\.\d+.*", melodex.__version__)
