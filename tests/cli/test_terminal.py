"""Lines and tables for people: whole words, within the terminal's width, nothing cut when piped."""

import re
import sys

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from melodex.cli.terminal import notice, print_lines, print_table

COLUMNS = {"number #": "number", "title": "title", "from": "collection"}
WORDS = st.text(alphabet="abcdefghijklmnop", min_size=1, max_size=12)
TITLES = st.lists(WORDS, min_size=1, max_size=12).map(" ".join)
ROWS = st.lists(
    st.fixed_dictionaries({"number": st.integers(0, 999), "title": TITLES, "collection": TITLES}),
    min_size=1,
    max_size=6,
)
TWINS = """X:1
T:The Weir
M:4/4
L:1/8
K:G
DEGA BAGE|DEGA G4|

X:2
T:the weir
M:4/4
L:1/8
K:D
ABde fedB|ABde d4|

X:3
T:Harbour Lights
M:4/4
L:1/8
K:C
GAcd edcA|GAcd c4|
"""


@pytest.fixture
def terminal(monkeypatch, capsys):
    """Make standard output and error a terminal of some width; returns what was printed."""

    def of_width(width, printing):
        monkeypatch.setenv("COLUMNS", str(width))
        monkeypatch.setenv("TERM", "dumb")  # without escape sequences for bold type
        for stream in (sys.stdout, sys.stderr):
            monkeypatch.setattr(stream, "isatty", lambda: True)
        printing()
        return capsys.readouterr()

    return of_width


@example(rows=[{"number": 0, "title": "a" * 12, "collection": "a" * 60}], width=120)
@given(rows=ROWS, width=st.integers(50, 120))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
def test_a_table_fits_the_terminal_and_breaks_no_word(terminal, rows, width):
    lines = terminal(width, lambda: print_table(COLUMNS, rows)).out.splitlines()
    assert max(map(len, lines)) <= width
    shown = " ".join(lines).split()
    for row in rows:
        assert set(f"{row['title']} {row['collection']}".split()) <= set(shown)


@given(rows=ROWS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
def test_a_piped_table_has_a_line_for_each_row_with_the_title_whole(capsys, rows):
    print_table(COLUMNS, [row | {"title": row["title"] * 20} for row in rows])
    lines = capsys.readouterr().out.splitlines()[1:]
    assert len(lines) == len(rows)
    for line, row in zip(lines, rows, strict=True):
        assert row["title"] * 20 in line
        assert line == line.rstrip()


def test_a_word_wider_than_the_terminal_is_folded_and_not_cut(terminal):
    row = {"number": 1, "title": "a" * 60, "collection": "b"}
    lines = terminal(40, lambda: print_table(COLUMNS, [row])).out.splitlines()
    assert max(map(len, lines)) <= 40
    assert sum(line.count("a") for line in lines) == 60


def test_long_lines_are_wrapped_at_words_and_indented_on_a_terminal(terminal):
    def print_both():
        print_lines("  one two three four five")
        notice("a b " * 10)

    printed = terminal(20, print_both)
    assert printed.out == "  one two three four\n  five\n"
    assert max(map(len, printed.err.splitlines())) <= 20


def test_piped_lines_stay_whole(capsys):
    print_lines("word " * 100)
    assert capsys.readouterr().out == "word " * 100 + "\n"


@pytest.fixture
def twins(tmp_path, monkeypatch, run):
    """A catalogue of two songs whose titles are alike but for capitals, and a third."""
    book = tmp_path / "twins.abc"
    book.write_text(TWINS, encoding="utf-8")
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "twins.db"))
    assert run("add", book).code == 0


@pytest.mark.usefixtures("twins")
@pytest.mark.parametrize(
    "command",
    [
        ("songs",),
        ("find", "--notes", "D4 E4 G4 A4 B4 A4"),
        ("near", "harbour"),
        ("lessons",),
    ],
    ids=" ".join,
)
def test_two_equal_titles_are_distinguished_and_no_id_is_shown(run, command):
    shown = run(*command).out
    assert re.search(r"The Weir \(.*no\. 1\)", shown)
    assert re.search(r"the weir \(.*no\. 2\)", shown)
    assert "the-weir" not in shown
    assert "harbour-lights" not in shown


@pytest.mark.usefixtures("twins")
def test_a_shown_id_names_its_song(run):
    assert run("tab", "the-weir-2").code == 0
    assert run("tab", "the weir").code == 1


@pytest.mark.usefixtures("twins")
def test_songs_stops_at_its_limit_and_says_how_many_there_are(run):
    shown = run("songs", "--limit", "2")
    assert len(shown.out.splitlines()) == 3
    assert shown.err == "2 of 3 songs.\n"
    assert run("songs", "--limit", "2", "--csv").out.count("\n") == 3
