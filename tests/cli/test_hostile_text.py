"""Titles, tags, names and messages that would command a terminal or a spreadsheet."""

import io
import json
import unicodedata

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.cli.printable import printable, printable_json, spreadsheet_text

# ECMA-48: ESC [ 31 m and CSI 31 m (U+009B) turn a terminal red, OSC 0 (U+009D) renames its window,
# BEL rings. UAX 9: U+202E turns what follows around.
TITLE = "\x1b[31mRed \x9b31mMill\x9d0;pwned\x9c \u202erats"
MARKUP = "[red]Barn[/red] :smile: [/]"
FORMULA = '=HYPERLINK("evil")'
# Source: Unicode Standard Annex 9, revision 48, table 4: the bidirectional formatting characters.
BIDIRECTIONAL = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
TUNE = "M:4/4\nL:1/8\nK:G\nDEGA BAGE|DEGA G4|c2BA G2AB|D2E2 G4|\n"


def book_of(*titles):
    return "\n".join(f"X:{n}\nT:{title}\n{TUNE}" for n, title in enumerate(titles, start=1))


def controls_in(text):
    return [
        character
        for character in text
        if (unicodedata.category(character) == "Cc" and character != "\n")
        or character in BIDIRECTIONAL
    ]


@pytest.fixture
def hostile(tmp_path, monkeypatch, run):
    """A catalogue of songs, files and tags that carry control characters, markup and formulas."""
    monkeypatch.setenv("MELODEX_CATALOGUE", str(tmp_path / "hostile.db"))
    folder = tmp_path / "col\x1b[2Jlection"
    folder.mkdir()
    text = book_of(TITLE, MARKUP, FORMULA) + "\nX:9\nT:\x1b[1mbad\nK:Zmaj\nABc|\n"
    (folder / "b\x1b[5mook\x07.abc").write_text(text, encoding="utf-8")
    (tmp_path / "tags.csv").write_text(
        f'title,tags\n"{MARKUP}","\x1b[32mgreen;@SUM(A1)"\nno \x9bsuch,x\n', encoding="utf-8"
    )
    return [run("add", folder), run("describe", tmp_path / "tags.csv")]


COMMANDS = [
    ("songs",),
    ("songs", "\x1b[31m"),
    ("songs", "--tag", "\x1b[32mgreen"),
    ("find", "--notes", "D4 E4 G4 A4 B4 A4"),
    ("find", "--from", "Mill", "--measures", "1"),
    ("find", "--from", "no\x1bsong", "--measures", "1"),
    ("find", "--lick", "\x1b[31m"),
    ("find", "--notes", "D4 \x1b[31mH9"),
    ("near", "Barn"),
    ("shared", "Barn", "Mill"),
    ("licks",),
    ("lessons", "--lessons", "2"),
    ("audit",),
    ("tab", "Mill"),
    ("arrange", "Mill"),
    ("place", "Mill", "--notes", "D4 E4 G4 A4"),
    ("remove", "Mill"),
    ("describe", "\x1b[31m.csv"),
    ("add", "\x1b[31m.abc"),
    ("songs", "a", "\x1b[31mb"),
    ("songs", "--csv"),
    ("songs", "--json"),
]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.usefixtures("hostile")
def test_no_control_character_reaches_the_terminal(run, command):
    printed = run(*command)
    assert controls_in(printed.out) == []
    assert controls_in(printed.err) == []


def test_failures_and_unmatched_lines_show_control_characters_as_escapes(hostile):
    added, described = hostile
    assert controls_in(added.out + added.err + described.out + described.err) == []
    assert r"b\x1b[5mook\x07.abc" in added.err
    assert r"no \x9bsuch" in described.err


@pytest.mark.usefixtures("hostile")
def test_json_keeps_the_characters_as_escapes(run):
    titles = {row["title"] for row in json.loads(run("songs", "--json").out)}
    assert titles == {TITLE, MARKUP, FORMULA}


@pytest.mark.usefixtures("hostile")
def test_brackets_and_colons_in_a_title_are_shown_as_they_are(run):
    assert MARKUP in run("songs", "barn").out


@pytest.mark.usefixtures("hostile")
def test_a_spreadsheet_gets_an_apostrophe_before_a_formula_and_numbers_as_numbers(run):
    table = pd.read_csv(io.StringIO(run("songs", "--csv").out)).set_index("title")
    assert f"'{FORMULA}" in table.index
    assert table["notes"].dtype.kind == "i"
    found = pd.read_csv(io.StringIO(run("find", "--notes", "E5 F#5 A5 B5 C#6 B5", "--csv").out))
    assert found["transposition"].tolist() == [-14, -14, -14]


# Source: OWASP, "CSV Injection": the characters that begin a formula.
@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t=", "\r=", "\n=", "\uff1d", "\uff0b", "\uff0d", "\uff20"]
)
def test_a_cell_that_a_spreadsheet_would_run_begins_with_an_apostrophe(start):
    assert spreadsheet_text(f"{start}1+1").startswith("'")


@given(text=st.text())
def test_a_printable_text_is_one_line_without_controls(text):
    assert controls_in(printable(text)) == []
    assert len(printable(text).splitlines()) <= 1


@given(text=st.text(alphabet=st.characters(categories=["L", "N", "P", "S"])))
def test_a_text_without_controls_is_printed_as_it_is(text):
    assert printable(text) == text


@given(text=st.text())
def test_json_without_raw_controls_means_the_same(text):
    document = printable_json(json.dumps(text, ensure_ascii=False))
    assert json.loads(document) == text
    assert controls_in(document) == []
