"""An audit as a report."""

from melodex.finder.audit import audit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.report.audit_report import audit_report


def report_audit(catalogue: Catalogue, which: SongFilter = EVERY_SONG) -> str:
    """Return what songs share, repeat and teach only once as an HTML page with plots.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.

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
    return audit_report(audit(catalogue, which).overview)
