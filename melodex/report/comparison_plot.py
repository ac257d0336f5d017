"""Two groups of songs side by side, as a picture."""

from pathlib import Path
from typing import TYPE_CHECKING

from melodex.model.results.audit import Comparison
from melodex.report.plot_files import BLUE, GREY, SMALL, shortened, write_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

COMPARISON = "two_groups.svg"


def draw_comparison(comparison: Comparison, folder: Path) -> Path:
    """Draw how much of the tunes, the licks and the time of two groups both have.

    Raises
    ------
    AuditError
        If the folder or the file cannot be written.
    """
    return write_picture(folder / COMPARISON, lambda figure: _bars(figure, comparison))


def _bars(figure: "Figure", comparison: Comparison) -> None:
    """Draw a bar for each kind and group: what the other has too, and what only this one has."""
    figure.set_size_inches(7, 2.6)
    axes = figure.subplots()
    rows = _rows(comparison)
    sizes = [both + alone or 1 for _, both, alone in rows]
    shared = [both / size for (_, both, _), size in zip(rows, sizes, strict=True)]
    only = [alone / size for (_, _, alone), size in zip(rows, sizes, strict=True)]
    places = range(len(rows))
    for widths, left, label, colour, hatch, part in (
        (shared, [0.0] * len(rows), "in the other group too", BLUE, "", 1),
        (only, shared, "only here", GREY, "///", 2),
    ):
        bars = axes.barh(
            places, widths, left=left, label=label, color=colour, hatch=hatch, edgecolor="black"
        )
        inside = [f"{row[part]:,.0f}" if row[part] else "" for row in rows]
        axes.bar_label(
            bars, inside, label_type="center", fontsize=SMALL,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip
    axes.set_yticks(places, [name for name, _, _ in rows])
    axes.set_xticks([])
    axes.invert_yaxis()
    axes.tick_params(length=0)
    axes.spines[:].set_visible(False)
    axes.set_title("What two groups have in common", loc="left")
    axes.legend(loc="upper left", bbox_to_anchor=(0, 0), ncols=2, frameon=False)


def _rows(comparison: Comparison) -> list[tuple[str, float, float]]:
    """List kind and group, how much the other group has too, and how much it has not."""
    a, b = shortened(comparison.group_a), shortened(comparison.group_b)
    tunes, licks = len(comparison.common_tunes), len(comparison.common_licks)
    of_a, of_b = comparison.coverage_a, comparison.coverage_b
    return [
        (f"tunes: {a}", tunes, len(comparison.tunes_only_a)),
        (f"tunes: {b}", tunes, len(comparison.tunes_only_b)),
        (f"licks: {a}", licks, len(of_a.missing)),
        (f"licks: {b}", licks, len(of_b.missing)),
        (f"quarter notes: {a}", of_a.covered, of_a.beats - of_a.covered),
        (f"quarter notes: {b}", of_b.covered, of_b.beats - of_b.covered),
    ]
