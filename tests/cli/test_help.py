"""Help, version, completion, and what a command loads before it does anything."""

import shlex
import subprocess
import sys
from importlib.metadata import version
from typing import Any

import pytest
import typer

from melodex.cli import app, main

PROGRAM: Any = typer.main.get_command(app)
# What a search or a plot needs, and a list of songs or a help text does not.
HEAVY = {"numpy", "numba", "pandas", "music21", "scipy", "matplotlib", "ortools", "verovio"}


def examples_of(command):
    return [line for line in PROGRAM.commands[command].epilog.splitlines() if "melodex" in line]


@pytest.mark.parametrize("command", PROGRAM.commands)
def test_the_help_of_each_command_shows_an_example(run, command):
    shown = run(command, "--help").out
    assert any(line.strip().startswith(f"melodex {command}") for line in shown.splitlines())


@pytest.mark.parametrize("command", PROGRAM.commands)
def test_each_example_is_a_line_that_its_command_accepts(command):
    for example in examples_of(command):
        _, name, *arguments = shlex.split(example)
        assert PROGRAM.commands[name].make_context(name, arguments)


def test_the_first_examples_show_more_notes_than_weak_evidence_has(run, catalogue):
    program_examples = [line for line in PROGRAM.epilog.splitlines() if "--notes" in line]
    for example in (examples_of("find")[0], *program_examples):
        found = run(*shlex.split(example)[1:], "--catalogue", catalogue)
        assert found.code == 0
        assert "weak evidence" not in found.err


def test_paragraphs_of_a_help_fill_the_line_instead_of_breaking_as_in_the_source(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    lines = run("find", "--help").out.splitlines()
    start = next(n for n, line in enumerate(lines) if "A score of 1 means" in line)
    assert len(lines[start].rstrip()) > 70
    assert len(lines[start + 1].rstrip()) > 70


def test_the_version_is_the_installed_package(run):
    assert run("--version").out == f"melodex {version('melodex')}\n"


@pytest.mark.usefixtures("book")  # a catalogue that no other test has used
@pytest.mark.parametrize("arguments", [["--help"], ["find", "--help"], ["songs"]], ids=" ".join)
def test_help_and_a_list_of_songs_load_no_heavy_library(catalogue, run, arguments):
    assert run("songs").code == 0  # works out once what these songs demand
    script = (
        "import sys\nfrom melodex.cli import main\n"
        f"sys.argv = ['melodex', *{arguments!r}]\n"
        "try:\n    main()\n"
        f"finally:\n    print(sorted({HEAVY!r} & set(sys.modules)), file=sys.stderr)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, env=None
    )
    assert catalogue.exists()
    assert ran.stderr.splitlines()[-1] == "[]"


@pytest.fixture
def complete(monkeypatch, capsys):
    """Return what a shell is offered for a line that is not finished."""

    def completions_of(line):
        words = line.split(" ")
        monkeypatch.setenv("COMP_WORDS", line)
        monkeypatch.setenv("COMP_CWORD", str(len(words) - 1))
        monkeypatch.setenv("_MELODEX_COMPLETE", "complete_bash")
        monkeypatch.setattr(sys, "argv", ["melodex"])
        with pytest.raises(SystemExit) as stopped:
            main()
        assert stopped.value.code in {0, None}
        printed = capsys.readouterr()
        assert printed.err == ""
        return printed.out.split()

    return completions_of


@pytest.mark.usefixtures("catalogue", "book")
def test_a_shell_completes_commands_songs_collections_tags_and_kept_licks(run, complete, tmp_path):
    table = tmp_path / "tags.csv"
    table.write_text("title,tags\nHarbour Lights Ahead,rolls;slow\n", encoding="utf-8")
    run("describe", table)
    run("keep", "rise", "--notes", "D4 E4 G4 A4 B4 A4")
    assert complete("melodex de") == ["demo", "describe"]
    assert complete("melodex near the") == ["the-weir-at-dawn", "the-weir-at-dusk"]
    assert complete("melodex find --from ha") == ["harbour-lights-ahead"]
    assert complete("melodex songs --tag ro") == ["rolls"]
    assert complete("melodex find --lick r") == ["rise"]
    (collection,) = complete("melodex songs --collection ")
    assert collection == tmp_path.name


@pytest.mark.usefixtures("catalogue")
def test_a_shell_is_never_offered_a_word_that_it_would_run(run, complete, tmp_path):
    table = tmp_path / "tags.csv"
    table.write_text(
        "title,tags\nHarbour Lights Ahead,$(touch x);`id`;a'b;two words;\x1b[31m;plain\n",
        encoding="utf-8",
    )
    assert run("describe", table).code == 0
    assert complete("melodex songs --tag ") == ["plain"]


@pytest.mark.parametrize("content", [None, b"no catalogue"])
def test_completion_without_a_catalogue_offers_and_prints_nothing(
    complete, tmp_path, monkeypatch, content
):
    path = tmp_path / "songs.db"
    if content is not None:
        path.write_bytes(content)
    monkeypatch.setenv("MELODEX_CATALOGUE", str(path))
    assert complete("melodex near the") == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_that_completes_is_shown_for_each_shell(run, shell):
    assert "_MELODEX_COMPLETE" in run("--show-completion", shell).out
