"""Where catalogues are kept unless the user says otherwise."""

import tempfile
from pathlib import Path

from melodex.errors import CatalogueError
from melodex.private_folder import data_folder, private_folder


def catalogue_path(given: Path | None, *, name: str = "catalogue.db") -> Path:
    """Choose the catalogue's file: the one given, else one in the user's data folder.

    Raises
    ------
    CatalogueError
        If none is given, and the user has no home to hold such a folder.
    """
    if given:
        return given
    folder = data_folder()
    if folder is None:
        raise CatalogueError(
            "You have no home folder for a catalogue to be in.",
            "name a file with --catalogue or in MELODEX_CATALOGUE.",
        )
    return folder / name


def demo_path(given: Path | None) -> Path:
    """Choose the file of the demo's catalogue, which can be made again at any time.

    It is in the user's data folder, or among the user's temporary files if that is not writable.

    Raises
    ------
    CatalogueError
        If none is given, and the user has neither of them.
    """
    folder = data_folder()
    if given is None and (folder is None or not _may_be_written(folder)):
        given = (elsewhere := private_folder()) and elsewhere / "demo.db"
    return catalogue_path(given, name="demo.db")


def _may_be_written(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=folder).close()
    except OSError:
        return False
    return True
