"""Songs as reports show them: with tab if they lie on the neck."""

from melodex.banjo.cautions import cautions_of
from melodex.errors import MelodyError
from melodex.finder.tab_of_song import tab_of_song
from melodex.index.store import Catalogue
from melodex.report.figures import ShownSong


def shown_song(
    catalogue: Catalogue,
    song: str,
    measures: tuple[int, int] | None = None,
    *,
    count: bool = False,
) -> ShownSong:
    """Return a song with its tab, in the octave where it plays nearest the nut.

    Parameters
    ----------
    song : str
        An id or an unambiguous part of a title.
    measures : (int, int) or None
        First and last, as written, whose cautions are shown; None for all.
    count : bool
        Whether a line below the tab counts the beats.

    Raises
    ------
    SongNotFoundError
        If no song, or several, match the name.
    """
    song_id = catalogue.resolve(song)
    try:
        tab = tab_of_song(catalogue, song_id)
    except MelodyError:
        return ShownSong(
            catalogue.song(song_id), None, ("It has no tab: it does not lie on the neck.",)
        )
    return ShownSong(tab.song, tab, (*tab.remarks, *cautions_of(tab, measures)), count)
