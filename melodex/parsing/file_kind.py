"""Recognise what a file holds by its content, whatever its name."""

import re

from melodex.parsing.file_content import OPENING, decode_text
from melodex.parsing.tab.tab_lines import holds_tab

ABC, KERN, MIDI, XML, ZIP = "ABC", "Humdrum kern", "a MIDI file", "XML", "a zip archive"
TEXT_TAB = "five-line tab"
PLAIN_TEXT, BINARY = "plain text", "binary data"

_SIGNATURES = (  # the first bytes, as the formats define them
    (b"PK\x03\x04", ZIP),
    (b"PK\x05\x06", ZIP),  # an archive without members
    (b"MThd", MIDI),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"RIFF", "a sound file"),
    (b"ID3", "a sound file"),
    (b"OggS", "a sound file"),
    (b"fLaC", "a sound file"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"SQLite format 3\0", "a database"),
)
_TEXT_MARKS = (
    (re.compile(r"\s*<"), XML),
    (re.compile(r"(?:!.*\n|[^\S\n]*\n)*\*\*\w"), KERN),
    (re.compile(r"(?:.*\n)*?[XK]:\s*\S"), ABC),
)
_CONTROL_CHARACTERS = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f]")


def looks_like(content: bytes) -> str:
    """Return what content begins like: "ABC", "a zip archive", "plain text"."""
    for signature, kind in _SIGNATURES:
        if content.startswith(signature):
            return kind
    opening = decode_text(content[:OPENING])
    for mark, kind in _TEXT_MARKS:
        if mark.match(opening):
            return kind
    if _CONTROL_CHARACTERS.search(opening):  # after ABC, whose books may contain one
        return BINARY
    return TEXT_TAB if holds_tab(opening) else PLAIN_TEXT
