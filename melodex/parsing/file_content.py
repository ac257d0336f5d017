"""Read a file from a stranger: never more than a bounded size, and never what is no file."""

from pathlib import Path

from melodex.errors import ScoreParseError

LARGEST_FILE = 64 * 2**20  # bytes; the largest score that music21 carries unpacks to 11 MB
OPENING = 4096  # bytes that are enough to see what a file holds


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
        if path.is_dir():
            raise ScoreParseError(shown, reason="it is a folder, not a file")
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
    """Return the first bytes of a file, enough to recognise what it holds.

    Raises
    ------
    OSError
        If it cannot be read.
    """
    with path.open("rb") as stream:
        return stream.read(OPENING)


def explain_os_error(error: OSError) -> str:
    """Return in plain words why the system would not open something."""
    if isinstance(error, PermissionError):
        return "you have no permission to read it"
    if isinstance(error, FileNotFoundError):
        return "there is no such file or folder"
    return (error.strerror or "the system could not read it").lower()


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
