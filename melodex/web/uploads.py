"""Files that a browser sends, put into a folder beside the catalogue.

They are kept there: a file sent again under its name replaces the one before, and its songs with
it, as a file that has changed does on the command line.
"""

import shutil
from collections.abc import Sequence
from pathlib import Path

from starlette.datastructures import UploadFile

from melodex.errors import CatalogueError
from melodex.finder.collection.add_songs import READABLE
from melodex.web.refusals import Refusal

LONGEST_NAME = 120  # characters; most file systems take 255 bytes
_FORBIDDEN = frozenset('/\\:*?"<>|')  # a part of a path, or no name on some system


def keep_uploads(catalogue: Path, collection: str, uploads: Sequence[UploadFile]) -> list[Path]:
    """Write uploaded files into the folder of a collection beside the catalogue.

    Parameters
    ----------
    catalogue : Path
        The catalogue's file.
    collection : str
        What the songs' collection is to be called; it names the folder.

    Raises
    ------
    Refusal
        If there is no file, or a name is no plain name of a music file. Nothing is written then.
    CatalogueError
        If a file cannot be written.
    """
    if not uploads:
        raise Refusal("No file was sent.", f"choose files that end in {', '.join(READABLE)}.")
    folder = catalogue.with_name(catalogue.name + ".uploads") / plain_name(collection)
    paths = [folder / music_name(upload.filename or "") for upload in uploads]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, upload in zip(paths, uploads, strict=True):
            with path.open("wb") as file:
                shutil.copyfileobj(upload.file, file)
    except OSError as error:
        raise CatalogueError(
            f"The files cannot be kept in {folder}: {error.strerror}.",
            "free some space, or make that folder writable.",
        ) from error
    return paths


def music_name(name: str) -> str:
    """Return the name of a music file, if it is a plain one.

    Raises
    ------
    Refusal
        If it is not, or its suffix is none that can be read.
    """
    plain = plain_name(name)
    if Path(plain).suffix.lower() not in READABLE:
        raise Refusal(
            f"'{plain}' is no file of music.", f"choose files that end in {', '.join(READABLE)}."
        )
    return plain


def plain_name(name: str) -> str:
    """Return a name that means one thing inside a folder, and nothing outside of it.

    Raises
    ------
    Refusal
        If it is empty, hidden, too long, or could be a path.
    """
    is_plain = name.isprintable() and not _FORBIDDEN & set(name)
    if not (is_plain and name.strip(" .") and not name.startswith(".")) or len(name) > LONGEST_NAME:
        shown = name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]} …"
        raise Refusal(
            f"'{shown}' cannot be used as a name.",
            f"use letters, digits, spaces, dots and hyphens, {LONGEST_NAME} at most.",
        )
    return name.strip()
