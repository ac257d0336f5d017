"""The catalogue that a server was started with: opened again and again, never made anew."""

from pathlib import Path

from melodex.errors import CatalogueError
from melodex.index.store import Catalogue, open_catalogue


def opened_again(path: Path) -> Catalogue:
    """Open a catalogue that was there when the server started.

    Raises
    ------
    CatalogueError
        If it cannot be opened, or has vanished.
    """
    if not path.exists():
        raise CatalogueError(
            f"The catalogue {path} is gone: it was moved or deleted while the server was running.",
            "put it back and load this page again, or stop the server and start it again, which "
            "begins with an empty one.",
        )
    return open_catalogue(path)
