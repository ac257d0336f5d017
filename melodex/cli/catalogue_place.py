"""Where catalogues are kept unless the user says otherwise."""

import tempfile
from pathlib import Path

import platformdirs

from melodex.private_folder import private_folder


def catalogue_path(given: Path | None, *, name: str = "catalogue.db") -> Path:
    """Choose the catalogue's file: the one given, else one in the user's data folder."""
    return given or platformdirs.user_data_path("melodex", appauthor=False) / name


def demo_path(given: Path | None) -> Path:
    """Choose the file of the demo's catalogue, which can be made again at any time.

    Where the user's data folder may not be written to, it lies among the user's temporary files.
    """
    path = catalogue_path(given, name="demo.db")
    elsewhere = None if given or _may_be_written(path.parent) else private_folder()
    return elsewhere / path.name if elsewhere else path


def _may_be_written(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=folder).close()
    except OSError:
        return False
    return True
