"""Files that a browser sends, put into a folder beside the catalogue.

They are kept there: a file sent again under its name replaces the one before, and its songs with
it, as a file that has changed does on the command line.
"""

import shutil
from collections.abc import Container, Sequence
from dataclasses import dataclass
from pathlib import Path

from starlette.datastructures import UploadFile

from melodex.errors import CatalogueError
from melodex.finder.collection.add_songs import READABLE
from melodex.model.reading import Failure
from melodex.web.refusals import Refusal

LONGEST_NAME = 120  # characters; most file systems take 255 bytes
_FORBIDDEN = frozenset('/\\:*?"<>|')  # a part of a path, or no name on some system
_UNFINISHED = ".part"  # ends the name of a file that is being written; nothing reads it


@dataclass(frozen=True, slots=True)
class Uploads:
    """Files that a browser has sent: those to be read, and those that were refused."""

    files: tuple[tuple[Path, UploadFile], ...]  # each with the path that it is to be kept under
    refused: tuple[Failure, ...]

    @property
    def paths(self) -> list[Path]:
        """Where the files are to be kept."""
        return [path for path, _ in self.files]

    def keep(self) -> None:
        """Write the files; one that cannot be written leaves the one before it as it was.

        Raises
        ------
        CatalogueError
            If a file cannot be written.
        """
        for path, upload in self.files:
            unfinished = path.with_name(path.name + _UNFINISHED)
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                with unfinished.open("wb") as file:
                    shutil.copyfileobj(upload.file, file)
                unfinished.replace(path)
            except OSError as error:
                raise CatalogueError(
                    f"The files cannot be kept in {path.parent}: {error.strerror}.",
                    "free some space, or make that folder writable.",
                ) from error


def sorted_out(catalogue: Path, collection: str, sent: Sequence[UploadFile]) -> Uploads:
    """Return which of the files sent can be read, and why the others cannot; nothing is written.

    Parameters
    ----------
    catalogue : Path
        The catalogue's file, beside which the files are to be kept.
    collection : str
        What the songs' collection is to be called; it names the folder.

    Raises
    ------
    Refusal
        If there is no file that can be read, or the collection's name is not a plain one.
    """
    folder = catalogue.with_name(catalogue.name + ".uploads") / plain_name(collection)
    files: dict[str, tuple[Path, UploadFile]] = {}
    refusals: list[tuple[str, Refusal]] = []
    for upload in sent:
        try:
            name = _new_name(upload.filename or "", files)
        except Refusal as refusal:
            refusals.append((_shown(upload.filename or ""), refusal))
        else:
            files[name.casefold()] = folder / name, upload
    if not files:
        raise _nothing_to_read([refusal for _, refusal in refusals])
    refused = [Failure(name, "", None, _reason(refusal)) for name, refusal in refusals]
    return Uploads(tuple(files.values()), tuple(refused))


def _nothing_to_read(refusals: Sequence[Refusal]) -> Refusal:
    if not refusals:
        return Refusal("No file was sent.", f"choose files that end in {', '.join(READABLE)}.")
    if len(refusals) == 1:
        return refusals[0]
    problems = " ".join(refusal.problem for refusal in refusals)
    return Refusal(f"None of these files can be read: {problems}", refusals[0].next_step)


def _reason(refusal: Refusal) -> str:
    """Return why a file was refused, as a clause."""
    return f"{refusal.problem.rstrip('.')}; {refusal.next_step.rstrip('.')}"


def _new_name(name: str, taken: Container[str]) -> str:
    plain = music_name(name)
    if plain.casefold() in taken:  # one file on many systems
        raise Refusal(f"'{plain}' was sent twice.", "rename one of the two.")
    return plain


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
            f"'{plain}' is not a music file that can be read.",
            f"choose files that end in {', '.join(READABLE)}.",
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
        raise Refusal(
            f"'{_shown(name)}' cannot be used as a name.",
            f"use letters, digits, spaces, dots and hyphens, {LONGEST_NAME} at most.",
        )
    return name.strip()


def _shown(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]} …"
