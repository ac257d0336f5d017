"""An audit as a report: its plots and its tables."""

from base64 import b64encode
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from melodex.model.audit import Overview
from melodex.report.audit_plots import LICKS, MATRIX, draw_overview
from melodex.report.evidence_words import left_out_in_words
from melodex.report.html_page import html_page
from melodex.report.lesson_words import percent_in_words
from melodex.report.words import half_steps_in_words

MOST_ROWS = 40  # of a table; the command `audit` tells the rest
_PLOTS: Mapping[str, str] = {
    MATRIX: "Measures of licks that each two songs share",
    LICKS: "Which song has which lick",
}


def audit_report(overview: Overview, *, left_out: int = 0) -> str:
    """Write what a repertoire shares, repeats and teaches once as one HTML file.

    Parameters
    ----------
    left_out : int
        How many other pairs of songs alike as a whole are left out as likely coincidence.
    """
    return html_page(
        "audit.html",
        title="Audit of a repertoire",
        overview=overview,
        left_out=left_out_in_words(len(overview.near_duplicates) + left_out, left_out, "pairs"),
        plots=_plots(overview),
        most_rows=MOST_ROWS,
        percent=percent_in_words,
        half_steps=half_steps_in_words,
    )


def _plots(overview: Overview) -> list[tuple[str, str]]:
    """Draw the plots; each as its title and its picture as an address that holds it."""
    with TemporaryDirectory() as folder:
        return [
            (
                _PLOTS[path.name],
                f"data:image/svg+xml;base64,{b64encode(path.read_bytes()).decode()}",
            )
            for path in draw_overview(overview, Path(folder))
        ]
