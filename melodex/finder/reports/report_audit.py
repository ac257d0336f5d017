"""An audit as a report."""

from dataclasses import replace

from melodex.finder.teaching.repertoire_audit import audit
from melodex.index.store import Catalogue
from melodex.model.catalogue import EVERY_SONG, SongFilter
from melodex.model.results.audit import Audit
from melodex.model.results.coincidence import without_coincidences
from melodex.report.audit_report import audit_report


def report_audit(
    catalogue: Catalogue,
    which: SongFilter = EVERY_SONG,
    *,
    against: SongFilter | None = None,
    by: str | None = None,
    between: tuple[str, str] | None = None,
    with_coincidences: bool = False,
) -> str:
    """Return what songs share, repeat and teach only once as an HTML page with plots.

    Parameters
    ----------
    which : SongFilter
        The songs to audit, 500 at most.
    against : SongFilter or None
        Other songs to compare them with.
    by : str or None
        A column, such as "collection": if it has two values, their songs are compared.
    between : pair of str, or None
        The two values of that column to compare, if there are more.
    with_coincidences : bool
        Whether to include pairs of songs whose likeness is likely coincidence
        (``expected_by_chance`` above 1); if not, the report says how many it omits.

    Returns
    -------
    str
        HTML that needs no other file, for ``write_report``.

    Raises
    ------
    AuditError
        If there are more than 500 songs.
    QueryError
        If no song has such a column, or the column no such value.
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
    found = audit(catalogue, which, against=against, by=by, between=between)
    return report_of_audit(found, with_coincidences=with_coincidences)


def report_of_audit(found: Audit, *, with_coincidences: bool = False) -> str:
    """Return an audit as an HTML page with plots."""
    pairs = found.overview.near_duplicates
    alike = pairs if with_coincidences else tuple(without_coincidences(pairs))
    overview = replace(found.overview, near_duplicates=alike)
    return audit_report(replace(found, overview=overview), left_out=len(pairs) - len(alike))
