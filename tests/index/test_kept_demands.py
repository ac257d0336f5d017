"""What songs demand is worked out once for each state, and again when tab or tempo change."""

from pathlib import Path

import pytest

from melodex.errors import CatalogueError
from melodex.index.intake.build import add_files
from melodex.index.kept_demands import FILE_NAME, demands_in
from melodex.index.store import Catalogue, open_catalogue
from melodex.parsing.corpus_walk import MusicFile
from melodex.parsing.formats import read_file

TAB = """\
Title: Latch
Metre: 4/4
Tempo: 100
Spacing: 2 characters = 1/8

D|-----------------|
B|-----------------|
G|-2h4-----0-------|
D|-----------------|
g|-----------------|
"""


@pytest.fixture
def add(catalogue, tmp_path):
    """Add a tab again and again, changed or not."""

    def add_text(text: str) -> None:
        path = tmp_path / "latch.tab"
        path.write_text(text, encoding="utf-8")
        report = add_files(catalogue, [MusicFile(path, "latch.tab", "")], read=read_file)
        assert not report.failed

    return add_text


def techniques(catalogue: Catalogue) -> set[str]:
    """Return what the one song uses."""
    (demands,) = demands_in(catalogue).values()
    return {use.technique for use in demands.uses or ()}


def turn_to_another(folder: Path) -> None:
    """Ask for the demands of another catalogue; only those of the last one stay in memory."""
    with open_catalogue(folder / "another.melodex", create=True) as another:
        assert not demands_in(another)


def kept(catalogue: Catalogue) -> list[Path]:
    """Return the files of demands beside a catalogue."""
    folder = catalogue.path.with_name(catalogue.path.name + ".arrays")
    return list(folder.glob(f"*/{FILE_NAME}"))


def test_demands_come_back_from_their_file_as_they_were(catalogue, add, tmp_path):
    add(TAB)
    made = demands_in(catalogue)
    assert len(kept(catalogue)) == 1
    turn_to_another(tmp_path)
    assert demands_in(catalogue) == made


def test_a_damaged_file_is_made_again(catalogue, add, tmp_path):
    add(TAB)
    made = demands_in(catalogue)
    (path,) = kept(catalogue)
    path.write_bytes(path.read_bytes().replace(b"hammer-on", b"hammer-in"))
    turn_to_another(tmp_path)
    assert demands_in(catalogue) == made


@pytest.mark.parametrize("changed", [TAB.replace("2h4", "2s4"), TAB.replace("2h4", "2-4")])
def test_a_change_of_the_hands_alone_is_noticed(catalogue, add, changed):
    add(TAB)
    assert "hammer-on" in techniques(catalogue)
    add(changed)
    assert "hammer-on" not in techniques(catalogue)


def test_a_change_of_tempo_alone_is_noticed(catalogue, add):
    add(TAB)
    (slow,) = demands_in(catalogue).values()
    add(TAB.replace("100", "200"))
    (fast,) = demands_in(catalogue).values()
    assert fast.notes_per_second == pytest.approx(2 * slow.notes_per_second)


def test_a_damaged_score_is_an_error_in_words(catalogue, add):
    add(TAB)
    with catalogue.writing() as connection:
        connection.execute("UPDATE score SET stated = 'no JSON'")
    with pytest.raises(CatalogueError, match="damaged"):
        demands_in(catalogue)
