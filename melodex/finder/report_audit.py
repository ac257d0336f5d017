"""An audit as a report."""

from melodex.finder.audit import audit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.report.audit_report import audit_report


def report_audit(catalogue: Catalogue, which: SongFilter = EVERY_SONG) -> str:
    """Write what songs share, repeat and teach once as HTML, with plots.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    UnknownValueError
        If no song has a value of the filter.
    CatalogueError
        If the catalogue's derived arrays cannot be written.
    """
    return audit_report(audit(catalogue, which).overview)
