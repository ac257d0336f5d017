"""Take a song out of the catalogue."""

from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry


def remove_song(catalogue: Catalogue, song: str) -> SongEntry:
    """Take one song out and return what was known about it; its file is not touched.

    Parameters
    ----------
    song : str
        Its id or an unambiguous part of its title.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    """
    entry = catalogue.entry(catalogue.resolve(song))
    catalogue.remove(entry.song)
    return entry
