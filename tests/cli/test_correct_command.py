"""The command that corrects what was misread."""

import json

import pytest


@pytest.mark.usefixtures("catalogue")
def test_a_correction_shows_in_the_list_and_survives_re_import(run, book):
    stopped = run("correct", "harbour", "--key", "A minor", "--title", "Harbour Light", "--json")
    assert json.loads(stopped.out) == {
        "song": "harbour-lights-ahead",
        "title": "Harbour Light",
        "key": "A minor",
        "metre": "4/4",
        "measures": 2,
    }
    book.write_text(book.read_text() + "\nX:4\nT:New\nM:3/4\nK:G\nABc|\n", encoding="utf-8")
    assert run("add", book).code == 0
    rows = json.loads(run("songs", "--json").out)
    assert ("Harbour Light", "A minor") in [(row["title"], row["key"]) for row in rows]


@pytest.mark.usefixtures("catalogue")
def test_undo_removes_the_corrections(run):
    run("correct", "dawn", "--metre", "4/4", "--pickup", "1")
    assert run("correct", "dawn", "--undo").out == (
        "The Weir at Dawn (the-weir-at-dawn): D major, 3/4, 3 measures.\n"
    )
    assert run("correct", "dawn", "--undo").code == 2  # nothing is left to undo


@pytest.mark.usefixtures("catalogue")
@pytest.mark.parametrize(
    ("options", "problem"),
    [
        ((), "Nothing is corrected"),
        (("--key", "H sharp"), "is not a key"),
        (("--key", "G quickly"), "is not a key"),
        (("--metre", "3/5"), "is not a metre"),
        (("--title", " "), "The title is empty"),
        (("--pickup", "-1"), "not a length of a pickup"),
        (("--pickup", "3"), "not shorter than a measure of 3/4"),
    ],
)
def test_what_cannot_be_a_correction_is_refused(run, options, problem):
    stopped = run("correct", "dawn", *options)
    assert stopped.code == 2
    assert problem in stopped.err


@pytest.mark.usefixtures("catalogue")
def test_undo_beside_a_correction_is_a_wrong_command_line(run):
    assert run("correct", "dawn", "--undo", "--key", "G").code == 2
