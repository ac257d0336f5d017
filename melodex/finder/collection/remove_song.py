"""Remove a song from the catalogue."""

from melodex.index.store import Catalogue
from melodex.model.catalogue import SongEntry


def remove_song(catalogue: Catalogue, song: str) -> SongEntry:
    """Remove one song from the catalogue and return its facts.

    Its file is not touched; adding that file again brings the song back.

    Parameters
    ----------
    song : str
        Its id or an unambiguous part of its title.

    Returns
    -------
    SongEntry
        ``song`` (its id), ``title``, ``collection``, ``key``, ``metre``, ``measures``, ``notes``,
        ``level``, ``tags`` and ``file``.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has that name; it lists the candidates.

    Examples
    --------
    ::

        print(melodex.remove_song(catalogue, "Cinder Path").file)
    """
    entry = catalogue.entry(catalogue.resolve(song))
    catalogue.remove(entry.song)
    return entry
