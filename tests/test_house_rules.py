"""The rules of DEVELOPERS.md that no linter checks."""

import ast
import importlib
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import typer

from melodex.cli import app

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "melodex"
MODULES = sorted(PACKAGE.rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
COMMANDS = [path for path in MODULES if path.name.endswith("_command.py")]
TEXTS = sorted(
    path
    for folder in ("melodex", "tests", "corpus", "notebooks", ".ci", ".")
    for path in (ROOT / folder).glob("*" if folder == "." else "**/*")
    if path.suffix in {".py", ".md", ".toml", ".txt", ".csv", ".abc", ".json", ".ipynb", ".html"}
)

LONGEST_FILE = 300  # lines; a longer file holds two ideas
MOST_FILES = 25  # in a folder; a fuller one wants parts
FIXED_NAMES = {"__init__.py", "__main__.py", "conftest.py"}  # by Python and by pytest
FEWEST_WORDS = 4  # of a test's name, "test" left out; fewer do not make a sentence
EMPTY_WORDS = {"util", "utils", "helper", "helpers", "misc", "common", "proc", "data2", "stuff"}
VAGUE_VERBS = {"Give", "Tell", "Say"}  # where "Return", "Print" or "Raise" is meant
# A path of one machine, or the address of a package registry, is of no use on another.
FOREIGN_ADDRESS = re.compile(r"/(?:root|work|home|tmp)/|pypi\.org|pythonhosted\.org")


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def syntax_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def public_definitions(tree: ast.Module):
    """Every public function and class, methods included."""
    scopes: list[ast.Module | ast.ClassDef] = [tree]
    for scope in scopes:
        for node in scope.body:
            if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name[0] == "_":
                continue
            yield node
            if isinstance(node, ast.ClassDef):
                scopes.append(node)


def files_of(*folders: str) -> list[Path]:
    paths = (path for folder in folders for path in (ROOT / folder).rglob("*"))
    return [path for path in paths if path.is_file() and "__pycache__" not in path.parts]


def test_no_folder_holds_more_than_25_files():
    counts = Counter(path.parent for path in files_of("melodex", "tests", "corpus", "notebooks"))
    assert {name_of(folder): n for folder, n in counts.items() if n > MOST_FILES} == {}


def test_a_file_name_occurs_once_in_package_and_tests():
    counts = Counter(path.name for path in files_of("melodex", "tests"))
    assert {name for name, n in counts.items() if n > 1} <= FIXED_NAMES


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_file_holds_one_idea_in_at_most_300_lines(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_file_and_all_it_offers_say_what_they_are_for(path):
    tree = syntax_of(path)
    assert ast.get_docstring(tree)
    assert [node.name for node in public_definitions(tree) if not ast.get_docstring(node)] == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_docstring_begins_with_what_comes_back(path):
    scopes = (ast.Module, ast.ClassDef, ast.FunctionDef)
    texts = [
        ast.get_docstring(node) for node in ast.walk(syntax_of(path)) if isinstance(node, scopes)
    ]
    assert [text for text in texts if text and text.split()[0] in VAGUE_VERBS] == []


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_file_is_named_for_what_it_holds(path):
    assert not EMPTY_WORDS & set(path.stem.split("_"))


@pytest.mark.parametrize(
    "path", [path for path in MODULES if "__all__" in path.read_text("utf-8")], ids=name_of
)
def test_every_name_that_a_module_lists_exists(path):
    parts = path.relative_to(ROOT).with_suffix("").parts
    module = importlib.import_module(".".join(part for part in parts if part != "__init__"))
    assert [name for name in module.__all__ if not hasattr(module, name)] == []
    assert len(set(module.__all__)) == len(module.__all__)


@pytest.mark.parametrize("path", COMMANDS, ids=name_of)
def test_a_command_parses_calls_and_prints_without_loop_or_try(path):
    commands = [
        node for node in public_definitions(syntax_of(path)) if isinstance(node, ast.FunctionDef)
    ]
    assert commands
    busy = [
        (command.name, type(node).__name__)
        for command in commands
        for node in ast.walk(command)
        if isinstance(node, ast.For | ast.While | ast.Try)
    ]
    assert busy == []


def test_every_command_and_each_of_its_options_has_a_help_text():
    program: Any = typer.main.get_command(app)
    silent = [
        f"{name} {parameter.name}".strip()
        for name, command in {"": program, **program.commands}.items()
        for parameter in [command, *command.params]
        if not parameter.help
    ]
    assert silent == []


@pytest.mark.parametrize("path", TESTS, ids=name_of)
def test_the_name_of_a_test_is_a_sentence(path):
    names = [
        node.name
        for node in ast.walk(syntax_of(path))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    ]
    assert names
    assert [name for name in names if len(name.split("_")) <= FEWEST_WORDS] == []


@pytest.mark.parametrize("path", TESTS, ids=name_of)
def test_a_test_leaves_private_names_alone(path):
    imported = [
        alias.name
        for node in ast.walk(syntax_of(path))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("melodex")
        for alias in node.names
    ]
    assert [name for name in imported if name.startswith("_") and name != "_types"] == []


def test_no_file_speaks_of_a_particular_machine_or_registry():
    found = {
        name_of(path): FOREIGN_ADDRESS.findall(path.read_text("utf-8", errors="replace"))
        for path in TEXTS
    }
    assert {name: addresses for name, addresses in found.items() if addresses} == {}


def test_only_the_folder_of_data_frames_imports_pandas():
    importers = {
        name_of(path)
        for path in MODULES
        for node in ast.walk(syntax_of(path))
        if isinstance(node, ast.Import)
        and any(alias.name.split(".")[0] == "pandas" for alias in node.names)
    }
    assert {name.rpartition("/")[0] for name in importers} == {"melodex/frames"}


def test_importing_melodex_loads_neither_tables_nor_score_readers():
    script = "import melodex, sys; print(sorted({'pandas', 'music21'} & set(sys.modules)))"
    loaded = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert loaded.stdout.strip() == "[]"
