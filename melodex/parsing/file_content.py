"""Read a file from a stranger: never more than a bounded size, and see what it really holds."""

import re
from pathlib import Path

from melodex.errors import ScoreParseError
from melodex.parsing.tab.tab_lines import holds_tab

LARGEST_FILE = 64 * 2**20  # bytes; the largest score that music21 carries unpacks to 11 MB
ABC, KERN, MIDI, XML, ZIP = "ABC", "Humdrum kern", "a MIDI file", "XML", "a zip archive"
TEXT_TAB = "five-line tab"
PLAIN_TEXT, BINARY = "plain text", "binary data"

_OPENING = 4096  # bytes that are enough to tell what a file holds
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


def read_bounded(path: Path, shown: Path) -> bytes:
    """Return a file's bytes.

    Parameters
    ----------
    path : Path
        Where the file is.
    shown : Path
        What errors call it.

    Raises
    ------
    ScoreParseError
        If it is missing, not allowed to be read, no ordinary file, empty, or above 64 MB.
    """
    try:
        # A pipe or a device would keep the reader waiting, so nothing but a file is opened.
        if path.exists() and not path.is_file():
            raise ScoreParseError(shown, reason="it is not an ordinary file")
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except OSError as error:
        raise ScoreParseError(shown, reason=explain_os_error(error)) from error
    if len(content) > LARGEST_FILE:
        raise ScoreParseError(shown, reason=f"it is larger than {LARGEST_FILE // 2**20} MB")
    if not content.strip():
        raise ScoreParseError(shown, reason="the file is empty")
    return content


def opening_of(path: Path) -> bytes:
    """Return the first bytes of a file, enough to tell what it holds.

    Raises
    ------
    OSError
        If it cannot be read.
    """
    with path.open("rb") as stream:
        return stream.read(_OPENING)


def explain_os_error(error: OSError) -> str:
    """Say in plain words why the system would not open something."""
    if isinstance(error, PermissionError):
        return "you have no permission to read it"
    if isinstance(error, FileNotFoundError):
        return "there is no such file or folder"
    return (error.strerror or "the system could not read it").lower()


def looks_like(content: bytes) -> str:
    """Name what a file holds, judged by how it begins: "ABC", "a zip archive", "plain text"."""
    for signature, kind in _SIGNATURES:
        if content.startswith(signature):
            return kind
    opening = decode_text(content[:_OPENING])
    if _CONTROL_CHARACTERS.search(opening):
        return BINARY
    for mark, kind in _TEXT_MARKS:
        if mark.match(opening):
            return kind
    return TEXT_TAB if holds_tab(opening) else PLAIN_TEXT


def decode_text(content: bytes) -> str:
    """Turn bytes into text: UTF-16 by its mark, else UTF-8, else Latin-1; lines end in a newline.

    A character cut in two at the very end does not make UTF-8 into Latin-1.
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = content.decode("utf-16", errors="replace")
    else:
        try:
            text = content.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            cut_at_end = error.end == len(content) and error.reason == "unexpected end of data"
            text = content.decode("utf-8-sig" if cut_at_end else "latin-1", errors="ignore")
    return text.replace("\r\n", "\n").replace("\r", "\n")
