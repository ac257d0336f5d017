"""Songs as reports show them: with a tab wherever they lie on the neck."""

from melodex.errors import MelodyError
from melodex.finder.tab_of_song import tab_of_song
from melodex.index.store import Catalogue
from melodex.report.figures import ShownSong

_OCTAVES = (0, 1, -1, 2, -2)  # in this order: the nearest in which a song lies on the neck


def shown_song(catalogue: Catalogue, song: str) -> ShownSong:
    """Return a song with its tab, in another octave where only there it lies on the neck.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.

    Raises
    ------
    SongNotFoundError
        If no song, or several, answer to the name.
    """
    song_id = catalogue.resolve(song)
    for octaves in _OCTAVES:
        try:
            tab = tab_of_song(catalogue, song_id, octaves=octaves)
        except MelodyError:
            continue
        return ShownSong(tab.song, tab, tab.remarks)
    return ShownSong(
        catalogue.song(song_id), None, ("It has no tab: it does not lie on the neck.",)
    )
