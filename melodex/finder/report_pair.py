"""What two songs share as a report."""

from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.report.pair_report import pair_report


def report_pair(catalogue: Catalogue, song_a: str, song_b: str) -> str:
    """Return the phrases that two songs share as an HTML page, marked in both songs.

    Parameters
    ----------
    song_a, song_b : str
        Ids or unambiguous parts of titles.

    Returns
    -------
    str
        HTML that needs no other file, for ``write_report``.

    Raises
    ------
    SongNotFoundError
        If no song, or more than one, has a name; it lists the candidates.
    CatalogueError
        If the catalogue's derived arrays cannot be written.

    Examples
    --------
    ::

        report = melodex.report_pair(catalogue, "Cinder Path", "Weir in Spate")
        melodex.write_report(report, folder / "pair.html")
    """
    shared = shared_phrases(catalogue, song_a, song_b)
    return pair_report(shown_song(catalogue, song_a), shown_song(catalogue, song_b), shared)
