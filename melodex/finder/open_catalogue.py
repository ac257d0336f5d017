"""Open a catalogue, for reading and writing."""

from pathlib import Path

from melodex.index import store


def open_catalogue(path: Path | str) -> store.Catalogue:
    """Open a catalogue's file, making it, and the folder it is to be in, where they are missing.

    Close it when done, or use it in a ``with`` block.

    Raises
    ------
    CatalogueError
        If the file is no catalogue, is one of a newer melodex, or cannot be opened.
    """
    return store.open_catalogue(Path(path), create=True)
