"""The places of a lick as a report."""

from melodex.finder.find_lick import find_lick
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.report.lick_report import lick_report


def report_lick(
    catalogue: Catalogue, lick: Lick, *, limit: int = 20, which: SongFilter = EVERY_SONG
) -> str:
    """Write the songs that use a lick as HTML, the lick and each place engraved.

    Parameters
    ----------
    limit : int
        How many songs at most.
    which : SongFilter
        The songs to search.

    Raises
    ------
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    matches = find_lick(catalogue, lick, limit=limit, which=which)
    songs = {match.song: shown_song(catalogue, match.song) for match in matches}
    return lick_report(lick, matches, songs)
