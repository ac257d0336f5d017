"""An audit as a report."""

from dataclasses import replace

from melodex.finder.audit import audit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.coincidence import without_coincidences
from melodex.report.audit_report import audit_report


def report_audit(
    catalogue: Catalogue, which: SongFilter = EVERY_SONG, *, with_coincidences: bool = False
) -> str:
    """Return what songs share, repeat and teach only once as an HTML page with plots.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.
    with_coincidences : bool
        Whether to list pairs of songs alike as a whole by likely coincidence
        (``expected_by_chance`` above 1) as well; without them the report says how many it omits.

    Returns
    -------
    str
        HTML that needs no other file, for ``write_report``.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.

    Examples
    --------
    ::

        report = melodex.report_audit(catalogue, melodex.song_filter(metres="3/4"))
        melodex.write_report(report, folder / "audit.html")
    """
    overview = audit(catalogue, which).overview
    found = overview.near_duplicates
    alike = found if with_coincidences else tuple(without_coincidences(found))
    return audit_report(replace(overview, near_duplicates=alike), left_out=len(found) - len(alike))
