"""Commands run in this process, on a catalogue of two small books."""

import shutil
import sys
from dataclasses import dataclass

import pytest

from melodex.cli import main
from melodex.finder.collection.add_songs import add_songs
from melodex.finder.collection.open_catalogue import open_catalogue

BOOK = """X:1
T:The Weir at Dusk
M:4/4
L:1/8
K:G
|:DEGA BAGE|DEGA G4:|

X:2
T:Harbour Lights Ahead
M:4/4
L:1/8
K:C
GAcd edcA|GAcd c4|

X:3
T:The Weir at Dawn
M:3/4
L:1/4
K:D
ABd|dBA|FED|
"""


@dataclass(frozen=True)
class Outcome:
    """What a command printed, and its exit code."""

    code: int
    out: str
    err: str


@pytest.fixture
def run(capsys, monkeypatch):
    """Run melodex with some arguments."""

    def run_command(*arguments):
        monkeypatch.setattr(sys, "argv", ["melodex", *map(str, arguments)])
        with pytest.raises(SystemExit) as stopped:
            main()
        printed = capsys.readouterr()
        return Outcome(int(stopped.value.code or 0), printed.out, printed.err)

    return run_command


@pytest.fixture
def book(tmp_path):
    """A book of three tunes."""
    path = tmp_path / "weir.abc"
    path.write_text(BOOK, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def filled(tmp_path_factory):
    """A catalogue that holds the book, to be copied."""
    folder = tmp_path_factory.mktemp("filled")
    (folder / "weir.abc").write_text(BOOK, encoding="utf-8")
    with open_catalogue(folder / "songs.db") as opened:
        add_songs(opened, [folder / "weir.abc"])
    return folder / "songs.db"


@pytest.fixture
def catalogue(request, tmp_path, monkeypatch, run):
    """A catalogue that holds the book, named by the environment.

    A test that has the book itself may add it again, so there it is read from that file.
    """
    path = tmp_path / "songs.db"
    monkeypatch.setenv("MELODEX_CATALOGUE", str(path))
    if "book" in request.fixturenames:
        assert run("add", request.getfixturevalue("book")).code == 0
    else:
        shutil.copy(request.getfixturevalue("filled"), path)
    return path
