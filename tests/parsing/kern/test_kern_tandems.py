"""Tandem interpretations of **kern."""

import pytest

from melodex.model.key import Key
from melodex.model.metre import FREE_METRE, Metre
from melodex.parsing.kern.kern_tandems import EXPANSIONS, Event, PartFacts, facts_of


def facts(*texts: str) -> PartFacts:
    return facts_of([Event(0.0, line, text) for line, text in enumerate(texts, start=1)])


@pytest.mark.parametrize(
    ("text", "metre"),
    [
        ("*M6/8", Metre(6, 8)),
        ("*M3+2/8", Metre(5, 8, (3, 2))),
        ("*M2/4+3/8", Metre(7, 8, (4, 3))),
        ("*M3/0", Metre(6, 1)),  # three breves
        ("*M2/00", Metre(8, 1)),
        ("*MX", FREE_METRE),
        ("*M?", FREE_METRE),
    ],
)
def test_metres_are_those_stated(text, metre):
    # Source: the reference of the **kern representation, "Tandem interpretations".
    assert [change.metre for change in facts(text).metres] == [metre]
    assert facts(text).remarks == []


@pytest.mark.parametrize(
    "text", ["*M77777/4", "*M4/5", "*M0/4", "*M4/4x", "*M" + "1+" * 5000 + "1/4"]
)
def test_a_metre_that_makes_no_sense_is_remarked_and_not_guessed(text):
    found = facts("*clefG2", text)
    assert [change.metre for change in found.metres] == [FREE_METRE]
    (remark,) = found.remarks
    assert "in line 2 is not valid" in remark


def test_a_key_without_a_signature_has_the_usual_one_and_else_that_written():
    assert facts("*g:").key == Key("G", "minor", (("B", -1), ("E", -1)))
    assert facts("*k[b-]", "*g:").key == Key("G", "minor", (("B", -1),))
    assert facts("*k[]", "*d:dor").key == Key("D", "dorian")


def test_a_key_that_is_not_stated_is_not_guessed():
    assert facts("*k[f#]", "*?:").key == Key("", "", (("F", 1),))
    assert facts("*clefG2").key is None


@pytest.mark.parametrize(
    ("text", "tempo"), [("*MM96.3", 96.3), ("*MM[Allegro]", None), ("*MM0", None), ("*M4/4", None)]
)
def test_the_tempo_is_that_stated_as_a_number(text, tempo):
    assert facts(text).tempo == tempo


def test_a_list_of_sections_is_remarked():
    # Source: "Everything You Need to Know About the Humdrum **kern Representation", section 4.2.
    assert facts("*>[A,A,B]", "*>A").remarks == [EXPANSIONS]
    assert facts("*>A").remarks == []
