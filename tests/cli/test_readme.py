"""The README's block of commands, line by line as it is typed."""

import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block_of(heading):
    """The lines of the first indented block under a heading."""
    lines = README.partition(f"{heading}\n")[2].splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("    "))
    end = next(n for n in range(start, len(lines)) if not lines[n].startswith("    "))
    return [line.strip() for line in lines[start:end]]


def in_the_shell(line, folder):
    return subprocess.run(
        ["/bin/bash", "-c", line], cwd=folder, capture_output=True, text=True, check=False
    )


@pytest.fixture
def checkout(tmp_path, monkeypatch):
    """A folder that looks like the checkout after its set-up, with an empty catalogue."""
    (tmp_path / "corpus").symlink_to(ROOT / "corpus")
    (tmp_path / ".venv").symlink_to(sys.prefix)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    return tmp_path


def test_every_line_of_the_use_block_works_as_typed_from_an_empty_catalogue(run, checkout):
    activate, *lines, serve = block_of("## Use")
    assert serve.startswith("melodex serve")  # it runs until Ctrl-C; tests/web start it
    assert activate.startswith(". .venv/bin/activate")
    for line in lines:
        command, *arguments = shlex.split(line, comments=True)
        if command == "melodex":
            ran = run(*arguments)
            assert (line, ran.code, ran.err if ran.code else "") == (line, 0, "")
            assert "weak evidence" not in ran.err
        else:
            assert in_the_shell(line, checkout).returncode == 0


@pytest.mark.skipif(sys.prefix == sys.base_prefix, reason="not run in a virtual environment")
def test_the_first_line_of_the_use_block_makes_melodex_a_command(checkout):
    activate = block_of("## Use")[0]
    assert in_the_shell(f"PATH=/usr/bin:/bin; {activate}\ncommand -v melodex", checkout).stdout


def test_the_first_command_leaves_melodex_as_a_command():
    command = README.partition("    # the main job on our own songbook\n")[2].splitlines()[0]
    steps = [shlex.split(step) for step in command.split("&&")]
    assert [step[:2] for step in steps] == [
        ["python3", "-m"], [".", ".venv/bin/activate"], ["pip", "install"], ["melodex", "demo"],
    ]  # fmt: skip
