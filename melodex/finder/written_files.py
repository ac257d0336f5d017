"""The kinds of files that melodex writes, and their suffixes."""

from dataclasses import dataclass
from pathlib import Path

from melodex.errors import QueryError


@dataclass(frozen=True, slots=True)
class FileKind:
    """Files of one kind, recognised by their suffixes."""

    what: str  # "A report"
    suffixes: tuple[str, ...]
    next_step: str

    def check(self, path: Path | None) -> None:
        """Raise an error if a file's name has another suffix; None means that no file is written.

        Raises
        ------
        QueryError
            It says which endings are possible.
        """
        if path is not None and path.suffix.lower() not in self.suffixes:
            raise QueryError(f"{self.what} cannot be written to '{path.name}'.", self.next_step)


TAB_TEXT, TAB_MUSICXML = (".tab", ".txt"), (".musicxml", ".xml")
TAB_FILE = FileKind(
    "Tab",
    (*TAB_TEXT, *TAB_MUSICXML),
    "let its name end in .tab or .txt for text, .musicxml or .xml for MusicXML.",
)
REPORT_FILE = FileKind(
    "A report, which is HTML,",
    (".html", ".htm"),
    "let its name end in .html; for a PDF, print that file from your browser.",
)
PLAN_FILE = FileKind("A plan, which is TOML,", (".toml",), "let its name end in .toml.")

_PICTURES = (".svg", ".png", ".pdf", ".jpg", ".jpeg", ".html", ".htm")


def check_picture_folder(folder: Path | None) -> None:
    """Raise an error if a folder for pictures is named like a picture.

    Raises
    ------
    QueryError
        If its name ends in ``.svg`` or the like.
    """
    if folder is not None and folder.suffix.lower() in _PICTURES:
        raise QueryError(
            f"'{folder.name}' is the name of one file, and an audit has several pictures.",
            "name a folder; the pictures in it are SVG files.",
        )
