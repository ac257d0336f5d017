"""The places of a lick as a report."""

from melodex.finder.find_lick import find_lick
from melodex.finder.shown_song import shown_song
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.lick import Lick
from melodex.model.results.coincidence import without_coincidences
from melodex.report.lick_report import lick_report


def report_lick(
    catalogue: Catalogue,
    lick: Lick,
    *,
    limit: int | None = 20,
    which: SongFilter = EVERY_SONG,
    with_coincidences: bool = False,
    count: bool = False,
) -> str:
    """Return the songs that use a lick as an HTML page, the lick and each place engraved.

    Parameters
    ----------
    lick : Lick
        From ``lick_from_names``, ``kept_lick`` or the like.
    limit : int or None
        How many songs at most, 1 or more; None for every song that is long enough.
    which : SongFilter
        The songs to search.
    with_coincidences : bool
        Whether to include matches that are likely coincidence
        (``expected_by_chance`` above 1); if not, the report says how many it omits.
    count : bool
        Whether a line below each tab counts the beats, "1 & 2 &".

    Returns
    -------
    str
        HTML that needs no other file, for ``write_report``.

    Raises
    ------
    QueryError
        If the limit is less than 1.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.

    Examples
    --------
    ::

        lick = melodex.lick_from_song(catalogue, "Cinder Path", measures=(5, 6))
        melodex.write_report(melodex.report_lick(catalogue, lick, limit=3), folder / "lick.html")
    """
    found = find_lick(catalogue, lick, limit=limit, which=which)
    matches = found if with_coincidences else without_coincidences(found)
    songs = {
        match.song: shown_song(
            catalogue, match.song, (min(match.measures), max(match.measures)), count=count
        )
        for match in matches
    }
    return lick_report(
        lick,
        matches,
        songs,
        left_out=len(found) - len(matches),
        searched=len(catalogue.song_ids(which)) if len(found) == limit else None,
    )
