"""What two songs share as a report."""

from melodex.finder.shared_phrases import shared_phrases
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.report.pair_report import pair_report


def report_pair(
    catalogue: Catalogue,
    song_a: str,
    song_b: str,
    *,
    with_coincidences: bool = False,
    count: bool = False,
) -> str:
    """Return the phrases that two songs share as an HTML page, marked in both songs.

    Parameters
    ----------
    song_a, song_b : str
        Ids or unambiguous parts of titles.
    with_coincidences : bool
        Whether to include phrases that are likely coincidence
        (``expected_by_chance`` above 1); if not, the report says how many it omits.
    count : bool
        Whether a line below each tab counts the beats, "1 & 2 &".

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
    found = shared_phrases(catalogue, song_a, song_b)
    shared = found if with_coincidences else found.without_coincidences()
    return pair_report(
        shown_song(catalogue, song_a, count=count),
        shown_song(catalogue, song_b, count=count),
        shared,
        left_out=len(found.phrases) - len(shared.phrases),
    )
