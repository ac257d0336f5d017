"""Read an untrusted file safely: only regular files, and only up to a maximum size."""

from pathlib import Path

from melodex.errors import ScoreParseError

LARGEST_FILE = 64 * 2**20  # bytes; the largest score in music21's corpus unpacks to 11 MB
OPENING = 4096  # bytes, enough to recognise what a file holds


def read_bounded(path: Path, shown: Path) -> bytes:
    """Return a file's bytes.

    Parameters
    ----------
    path : Path
        Where the file is.
    shown : Path
        The path as errors show it.

    Raises
    ------
    ScoreParseError
        If it is missing, unreadable, not a regular file, empty, or above 64 MB.
    """
    try:
        # A pipe or a device could block forever, so only regular files are opened.
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
    """Return why the system could not open something, in plain words."""
    if isinstance(error, PermissionError):
        return "you have no permission to read it"
    if isinstance(error, FileNotFoundError):
        return "there is no such file or folder"
    return (error.strerror or "the system could not read it").lower()


def decode_text(content: bytes) -> str:
    """Decode bytes: UTF-16 if marked, else UTF-8, else Latin-1; lines end with a line feed.

    A character truncated at the very end still counts as UTF-8.
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
