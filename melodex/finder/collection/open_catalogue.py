"""Open a catalogue, for reading and writing."""

from melodex.index import store
from melodex.parsing.given_path import FilePath, path_of


def open_catalogue(path: FilePath) -> store.Catalogue:
    """Open a catalogue's file; create it, and its folder, if they are missing.

    Parameters
    ----------
    path : str or path
        The catalogue's file, one SQLite database. Arrays that a search scans are kept beside it.

    Returns
    -------
    Catalogue
        Open; close it when done, or use it in a ``with`` block.

    Raises
    ------
    CatalogueError
        If the file is not a catalogue, was written by a newer melodex, or cannot be opened.

    Examples
    --------
    ::

        with melodex.open_catalogue("tunes.db") as tunes:
            melodex.add_songs(tunes, "~/tunes")
    """
    return store.open_catalogue(path_of(path), create=True)
