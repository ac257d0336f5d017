"""Write a report to a file."""

from pathlib import Path

from melodex.errors import MelodexError
from melodex.finder.written_files import REPORT_FILE


def write_report(path: Path, html: str) -> None:
    """Write a report's HTML.

    Raises
    ------
    QueryError
        If the file's name does not end in ``.html`` or ``.htm``.
    MelodexError
        If the file cannot be written.
    """
    REPORT_FILE.check(path)
    try:
        path.write_text(html, encoding="utf-8")
    except OSError as error:
        raise MelodexError(
            f"{path} cannot be written: {error.strerror}.", "name a file in a folder of your own."
        ) from error
