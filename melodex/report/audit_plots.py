"""Draw audits as SVG: time that songs share, songs that have each lick, two groups compared."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from melodex.model.results.audit import Audit, LickUse, Overview
from melodex.report.clustering import clustered_order
from melodex.report.comparison_plot import draw_comparison
from melodex.report.plot_files import BLUE, CELL, GREY, NORMAL, SMALL, shortened, write_picture
from melodex.report.typesetting import typeset

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MATRIX, LICKS = "shared_material.svg", "licks_by_songs.svg"
PALER = 1.4  # keeps the largest share paler than a black frame
MOST_DRAWN = 120  # songs; their cells take about 5 MB, and more names would be illegible

_Named = tuple[str, str]
"""A song's id and title."""


def draw_audit(audit: Audit, folder: Path) -> list[Path]:
    """Draw what the songs of an audit share, and the two groups that it compares.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    AuditError
        If the folder or a file cannot be written.
    """
    files = draw_overview(audit.overview, folder)
    if audit.comparison is None:
        return files
    return [*files, draw_comparison(audit.comparison, folder)]


def draw_overview(overview: Overview, folder: Path) -> list[Path]:
    """Draw the matrix of shared time and the licks by songs; nothing if the songs share nothing.

    Songs that share nothing are left out; of more than 120 songs, those that share least as well.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    AuditError
        If the folder or a file cannot be written.
    """
    licks = [*overview.taught_often, *overview.taught_once]
    shared = overview.matrix()
    drawn = _songs_drawn(overview, shared)
    if not len(drawn):
        return []
    order = drawn[_clustered(shared[np.ix_(drawn, drawn)])]
    names = [(overview.songs[place].song, overview.songs[place].title) for place in order.tolist()]
    alike = [(pair.song_a, pair.song_b) for pair in overview.near_duplicates]
    files = [
        write_picture(
            folder / MATRIX,
            lambda figure: _matrix(figure, names, shared[np.ix_(order, order)], alike),
        )
    ]
    if licks:
        files.append(write_picture(folder / LICKS, lambda figure: _dots(figure, names, licks)))
    return files


def _songs_drawn(overview: Overview, shared: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the songs that share anything or have a lick; of very many, those that share most."""
    uses = (*overview.taught_often, *overview.taught_once)
    with_licks = {song for use in uses for song in use.taught_in}
    each = shared.sum(axis=0) + shared.sum(axis=1) - np.diag(shared)
    has_any = np.array([song.song in with_licks for song in overview.songs], np.bool_) | (each > 0)
    some = np.flatnonzero(has_any)
    by_most = np.argsort(-each[some], kind="stable")
    return np.sort(some[by_most[:MOST_DRAWN]])


def _clustered(shared: NDArray[np.float64]) -> list[int]:
    """Return songs ordered so that those that teach much of each other are adjacent."""
    alike = (shared + shared.T) / 2
    np.fill_diagonal(alike, 1.0)
    return clustered_order(alike)


def _matrix(
    figure: "Figure",
    songs: Sequence[_Named],
    shared: NDArray[np.float64],
    alike: Iterable[tuple[str, str]],
) -> None:
    from matplotlib.collections import PolyCollection
    from matplotlib.patches import Rectangle

    axes = _grid(figure, columns=songs, rows=[title for _, title in songs])
    own = np.eye(len(songs), dtype=np.bool_)
    cells = np.argwhere((shared > 0) & ~own)
    values = shared[tuple(cells.T)]
    most = float(values.max(initial=0.01))
    corners = np.array([[-0.5, -0.5], [-0.5, 0.5], [0.5, 0.5], [0.5, -0.5]])
    colours = PolyCollection(list(corners + cells[:, np.newaxis, ::-1]), cmap="cividis_r")
    colours.set_array(values)
    colours.set_clim(0, PALER * most)
    axes.add_collection(colours)
    for (row, column), value in zip(cells.tolist(), values.tolist(), strict=True):
        _number(axes, column, row, value, "white" if 2 * value > PALER * most else "black")
    for place, value in enumerate(np.diag(shared).tolist()):
        axes.add_patch(Rectangle((place - 0.5, place - 0.5), 1, 1, color=GREY))
        _number(axes, place, place, value, "black")
    place_of = {song: place for place, (song, _) in enumerate(songs)}
    for a, b in ((place_of[a], place_of[b]) for a, b in alike if {a, b} <= place_of.keys()):
        for row, column in ((a, b), (b, a)):
            axes.add_patch(
                Rectangle((column - 0.5, row - 0.5), 1, 1, fill=False, color="black", linewidth=2)
            )
    _caption(
        axes,
        "Percentage of the row's song that the column's song teaches",
        "grey: share that all others together teach; framed: versions of one tune",
    )


def _dots(figure: "Figure", songs: Sequence[_Named], licks: Sequence[LickUse]) -> None:
    axes = _grid(
        figure,
        columns=songs,
        rows=[f"{shortened(typeset(use.lick))}, in {use.songs}" for use in licks],
    )
    place_of = {song: place for place, (song, _) in enumerate(songs)}
    dots = [
        (place_of[song], row)
        for row, use in enumerate(licks)
        for song in use.taught_in
        if song in place_of
    ]
    columns, rows = np.array(dots).T
    axes.scatter(columns, rows, s=70, color=BLUE)
    _caption(axes, "Which song has which lick", "behind each lick, in how many of these songs")


def _grid(figure: "Figure", *, columns: Sequence[_Named], rows: Sequence[str]) -> "Axes":
    """Draw a grid of square cells with column labels above and row labels at the left."""
    figure.set_size_inches(CELL * len(columns), CELL * len(rows))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(-0.5, len(columns) - 0.5)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    axes.set_xticks(range(len(columns)), [shortened(title) for _, title in columns], rotation=90)
    axes.set_yticks(range(len(rows)), [shortened(name) for name in rows])
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    axes.set_axisbelow(True)
    axes.grid(color=GREY, linewidth=0.5)
    return axes


def _number(axes: "Axes", column: int, row: int, share: float, colour: str) -> None:
    axes.text(
        column,
        row,
        f"{100 * share:.0f}",
        color=colour,
        size=SMALL,
        ha="center",
        va="center_baseline",
    )


def _caption(axes: "Axes", title: str, explained: str) -> None:
    """Add a title and an explanation below the picture, since labels are above it."""
    axes.set_xlabel(f"{title}\n({explained})", loc="left", labelpad=8, size=NORMAL)
