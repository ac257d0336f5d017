"""An audit as a report: its plots and its tables."""

from base64 import b64encode
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from melodex.model.results.audit import Audit
from melodex.notation.measure_names import half_steps_in_words
from melodex.report.audit_plots import LICKS, MATRIX, draw_audit
from melodex.report.audit_words import (
    comparison_in_words,
    first_place_in_words,
    overview_in_words,
    taught_in_words,
    tunes_least_covered,
    versions_in_words,
)
from melodex.report.comparison_plot import COMPARISON
from melodex.report.evidence_words import left_out_in_words
from melodex.report.html_page import html_page
from melodex.report.lesson_words import percent_in_words, spans_in_words

MOST_ROWS = 40  # of a table; the command `audit` lists the rest
_PLOTS: Mapping[str, str] = {
    MATRIX: "How much of each song each other one teaches",
    LICKS: "Which song has which lick",
    COMPARISON: "What two groups have in common",
}


def audit_report(audit: Audit, *, left_out: int = 0) -> str:
    """Write what a repertoire shares, repeats and teaches once as one HTML file.

    Parameters
    ----------
    left_out : int
        How many other pairs of songs alike as a whole are left out as likely coincidence.
    """
    overview = audit.overview
    return html_page(
        "printed_audit.html",
        title="Audit of a repertoire",
        overview=overview,
        summary=overview_in_words(overview),
        comparison=audit.comparison,
        comparison_summary=[]
        if audit.comparison is None
        else comparison_in_words(audit.comparison),
        left_out=left_out_in_words(len(overview.near_duplicates) + left_out, left_out, "pairs"),
        plots=_plots(audit),
        most_rows=MOST_ROWS,
        percent=percent_in_words,
        half_steps=half_steps_in_words,
        spans=spans_in_words,
        versions=versions_in_words,
        first_place=first_place_in_words,
        taught=taught_in_words,
        least_covered=tunes_least_covered,
    )


def _plots(audit: Audit) -> list[tuple[str, str]]:
    """Draw the plots; each as its title and its picture as an address that holds it."""
    with TemporaryDirectory() as folder:
        return [
            (
                _PLOTS[path.name],
                f"data:image/svg+xml;base64,{b64encode(path.read_bytes()).decode()}",
            )
            for path in draw_audit(audit, Path(folder))
        ]
