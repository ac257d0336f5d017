"""What a file holds, whatever it is called."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.errors import ScoreParseError
from melodex.parsing.file_content import decode_text, read_bounded
from melodex.parsing.file_kind import PLAIN_TEXT, looks_like


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"X:1\nT:Gate\nK:G\n", "ABC"),
        (b"%abc-2.1\n\n% a book of tunes\nX: 1\n", "ABC"),
        (b"\xef\xbb\xbfX:1\nK:C\n", "ABC"),
        (b"T:Caf\xe9\nK:G\n", "ABC"),
        (b"X:1\nT:Gate\x07 and\0Bell\nK:G\n", "ABC"),
        (b"!!!OTL: Gate\r\n**kern\r\n", "Humdrum kern"),
        (b"**kern\t**text\n", "Humdrum kern"),
        (b"<?xml version='1.0'?><score-partwise/>", "XML"),
        (b"\n <score-partwise/>", "XML"),
        ("<?xml version='1.0'?><a/>".encode("utf-16"), "XML"),
        (b"MThd\0\0\0\x06", "a MIDI file"),
        (b"PK\x03\x04...", "a zip archive"),
        (b"SQLite format 3\0", "a database"),
        (b"Dear class,\n", PLAIN_TEXT),
        (b"\x00\x01\x02\x03", "binary data"),
    ],
)
def test_content_is_recognised_by_how_it_begins(content, kind):
    assert looks_like(content) == kind


@given(st.binary(max_size=200))
def test_any_bytes_can_be_judged_and_decoded(content):
    assert looks_like(content)
    assert "\r" not in decode_text(content)


@given(st.text(alphabet=st.characters(exclude_characters="\r\ufeff", exclude_categories=["Cs"])))
def test_text_in_utf_8_and_utf_16_is_decoded_as_written(text):
    assert decode_text(text.encode()) == text
    assert decode_text(b"\xff\xfe" + text.encode("utf-16-le")) == text


@pytest.mark.parametrize("start", [b"\n", b" \n", b"!\n", b"!!\n\n", b"\t", b"%\n"])
def test_thousands_of_empty_lines_are_judged_at_once(start):
    assert looks_like(start * 5_000 + b"x") == PLAIN_TEXT


def test_latin_1_is_decoded_where_utf_8_fails():
    assert decode_text(b"T:Caf\xe9\r\nK:G\r") == "T:Café\nK:G\n"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_not_waited_for(tmp_path):
    pipe = tmp_path / "tune.abc"
    os.mkfifo(pipe)
    with pytest.raises(ScoreParseError, match="not an ordinary file"):
        read_bounded(pipe, Path("tune.abc"))
