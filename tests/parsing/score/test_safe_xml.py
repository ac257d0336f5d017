"""Untrusted XML."""

import pytest

from tests.parsing.score.hand_scores import archive, container, failure_of

ENTITY_BOMB = (
    '<!DOCTYPE a [<!ENTITY x "ha"><!ENTITY y "&x;&x;&x;&x;">]><score-partwise>&y;</score-partwise>'
)
STRANGE_FILE = (
    '<!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><score-partwise>&x;</score-partwise>'
)


@pytest.mark.parametrize("document", [ENTITY_BOMB, STRANGE_FILE])
def test_entities_of_a_documents_own_are_not_expanded(tmp_path, document):
    assert "defines entities" in failure_of(tmp_path, document.encode(), "tune.xml").reason
    packed = archive({"META-INF/container.xml": container("a.xml"), "a.xml": document})
    assert "defines entities" in failure_of(tmp_path, packed, "tune.mxl").reason


def test_broken_xml_is_reported_with_its_line(tmp_path):
    failure = failure_of(tmp_path, b"<score-partwise>\n<part>\n</score-partwise>", "tune.musicxml")
    assert failure.line == 3
    assert "broken or cut off" in failure.reason


def test_xml_that_is_not_a_score_is_recognised_by_its_content(tmp_path):
    assert "<html>" in failure_of(tmp_path, b"<html><p>Hello</p></html>", "tune.xml").reason


def test_xml_nested_a_hundred_thousand_deep_is_a_failure(tmp_path):
    deep = b"<a>" * 100_000 + b"</a>" * 100_000
    assert "not a MusicXML score" in failure_of(tmp_path, deep, "tune.xml").reason


def test_an_unknown_encoding_is_a_failure(tmp_path):
    document = b'<?xml version="1.0" encoding="klingon"?><score-partwise/>'
    assert "encoding is unknown" in failure_of(tmp_path, document, "tune.xml").reason
