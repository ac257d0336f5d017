"""Write a report to a file."""

from pathlib import Path

from melodex.errors import MelodexError


def write_report(path: Path, html: str) -> None:
    """Write a report's HTML.

    Raises
    ------
    MelodexError
        If the file cannot be written.
    """
    try:
        path.write_text(html, encoding="utf-8")
    except OSError as error:
        raise MelodexError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error
