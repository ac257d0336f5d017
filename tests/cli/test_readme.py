"""What README.md shows is what happens: its two commands, its session, its Python."""

import doctest
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
WIDTH = 92  # characters; the width of the terminal that README shows
LONGEST_README = 150  # lines; more belongs to notebooks/


def session():
    """The commands that README shows, each with what it shows of their output."""
    block = README.partition("## Use\n")[2].partition("## ")[0]
    lines = [line[4:] for line in block.splitlines() if line.startswith("    ")]
    steps: list[tuple[str, list[str]]] = []
    for line in lines:
        if line.startswith("$ "):
            steps.append((line[2:], []))
        else:
            steps[-1][1].append(line)
    return [(command, "\n".join([*output, ""])) for command, output in steps]


@pytest.fixture
def checkout(tmp_path, monkeypatch):
    """A folder that looks like the checkout after its set-up, with an empty catalogue."""
    (tmp_path / "corpus").symlink_to(ROOT / "corpus")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "songs.db"))
    monkeypatch.setenv("COLUMNS", str(WIDTH))
    return tmp_path


def test_the_readme_is_short():
    assert len(README.splitlines()) <= LONGEST_README


def test_every_command_of_the_session_prints_what_the_readme_shows(run, checkout):
    same = doctest.OutputChecker().check_output
    for line, shown in session():
        command, *arguments = shlex.split(line)
        if command == "melodex":
            ran = run(*arguments)
            assert (line, ran.code) == (line, 0)
            assert same(shown, ran.out, doctest.ELLIPSIS), f"{line}\n{ran.out}"
            assert "weak evidence" not in ran.err
        else:
            subprocess.run(["/bin/bash", "-c", line], cwd=checkout, check=True)


@pytest.mark.usefixtures("checkout")
def test_the_python_of_the_readme_runs_as_it_stands(capsys):
    (program,) = re.findall(r"```python\n(.*?)```", README, re.DOTALL)
    exec(program, {})  # noqa: S102 - our own text
    assert "Weir in Spate" in capsys.readouterr().out


def test_every_file_that_the_readme_links_to_exists():
    links = re.findall(r"\]\(([^)]+)\)", README)
    assert links
    assert not [link for link in links if not (ROOT / link).is_file()]


def test_the_first_command_leaves_melodex_as_a_command():
    command = README.partition("    # the main job on our own songbook\n")[2].splitlines()[0]
    steps = [shlex.split(step) for step in command.split("&&")]
    assert [step[:2] for step in steps] == [
        ["python3", "-m"], [".", ".venv/bin/activate"], ["pip", "install"], ["melodex", "demo"],
    ]  # fmt: skip


@pytest.mark.skipif(sys.prefix == sys.base_prefix, reason="not run in a virtual environment")
def test_activating_the_virtual_environment_makes_melodex_a_command(tmp_path):
    (tmp_path / ".venv").symlink_to(sys.prefix)
    activated = "PATH=/usr/bin:/bin; . .venv/bin/activate; command -v melodex"
    found = subprocess.run(
        ["/bin/bash", "-c", activated], cwd=tmp_path, capture_output=True, check=False
    )
    assert found.stdout
