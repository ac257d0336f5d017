"""Commands run in this process, on a catalogue of two small books."""

import sys
from dataclasses import dataclass

import pytest

from melodex.cli import main

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


@pytest.fixture
def catalogue(tmp_path, monkeypatch, book, run):
    """A catalogue that holds the book, named by the environment."""
    path = tmp_path / "songs.db"
    monkeypatch.setenv("MELODEX_CATALOGUE", str(path))
    assert run("add", book).code == 0
    return path
