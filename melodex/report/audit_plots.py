"""Audits and plans as SVG pictures: who shares how much, which song has which lick, what is new.

Nothing is told by colour alone: every coloured cell bears its number, every bar its hatching. Text
stays text, so that a picture can be searched and read aloud.
"""

import warnings
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from melodex.errors import AuditError
from melodex.model.audit import LickUse, Overview
from melodex.model.lesson import Lesson
from melodex.report.clustering import clustered_order

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

MATRIX, LICKS, LESSONS = "shared_material.svg", "licks_by_songs.svg", "new_material.svg"
PALER = 1.4  # than the darkest colour is the most that is shared: a black frame stays seen
CELL = 0.26  # inches, room for a number of two digits
MOST_DRAWN = 120  # songs, the cells of which are some 5 MB; names of more nobody reads
LONGEST_NAME = 48  # characters of a title or lick
SMALL, NORMAL = 7, 9  # points
BLUE, GREY = "#0072B2", "#D9D9D9"  # the one dark, the other light, in whatever eyes

_Named = tuple[str, str]
"""A song's id and title."""


def draw_overview(overview: Overview, folder: Path) -> list[Path]:
    """Draw the matrix of shared material and the licks by songs; nothing where no lick is.

    Songs without licks are left out, and of more than 120 those that share least.

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
    if not licks:
        return []
    shared = overview.matrix()
    drawn = _songs_drawn(shared)
    order = drawn[clustered_order(shared[np.ix_(drawn, drawn)])]
    names = [(overview.songs[place].song, overview.songs[place].title) for place in order.tolist()]
    alike = [(pair.song_a, pair.song_b) for pair in overview.near_duplicates]
    return [
        _write(
            folder / MATRIX,
            lambda figure: _matrix(figure, names, shared[np.ix_(order, order)], alike),
        ),
        _write(folder / LICKS, lambda figure: _dots(figure, names, licks)),
    ]


def draw_lessons(lessons: Sequence[Lesson], folder: Path) -> list[Path]:
    """Draw what is new and what is re-used lesson by lesson; nothing where no lesson is.

    Raises
    ------
    AuditError
        If the folder or the file cannot be written.
    """
    if not lessons:
        return []
    return [_write(folder / LESSONS, lambda figure: _bars(figure, lessons))]


def _songs_drawn(shared: NDArray[np.int64]) -> NDArray[np.intp]:
    """Choose the songs that have a lick; of very many those that share most."""
    own = np.diag(shared)
    with_licks = np.flatnonzero(own)
    by_most = np.argsort(-(shared.sum(axis=0) - own)[with_licks], kind="stable")
    return np.sort(with_licks[by_most[:MOST_DRAWN]])


def _write(path: Path, draw: Callable[["Figure"], None]) -> Path:
    """Draw into a file, the same bytes each time."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    look = rc_context(
        {
            "svg.fonttype": "none",
            "svg.hashsalt": "melodex",  # else each drawing has other ids
            "text.parse_math": False,  # a title may hold dollar signs
            "font.size": NORMAL,
        }
    )
    with look, warnings.catch_warnings():
        # The viewer's fonts write the text, whatever letters the one that measures it lacks.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = Figure()
        draw(figure)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            figure.savefig(
                path, format="svg", bbox_inches="tight", metadata={"Date": None, "Creator": None}
            )
        except OSError as error:
            raise AuditError(
                f"Cannot write {path}: {error.strerror or error}.", "choose another folder."
            ) from error
    return path


def _matrix(
    figure: "Figure",
    songs: Sequence[_Named],
    shared: NDArray[np.int64],
    alike: Iterable[tuple[str, str]],
) -> None:
    from matplotlib.collections import PolyCollection
    from matplotlib.patches import Rectangle

    axes = _grid(figure, columns=songs, rows=[title for _, title in songs])
    own = np.eye(len(songs), dtype=np.bool_)
    cells = np.argwhere((shared > 0) & ~own)
    values = shared[tuple(cells.T)]
    most = int(values.max(initial=1))
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
    _headline(
        axes,
        "Measures of licks that two songs share",
        "grey: of all licks of a song; framed: whole songs alike",
    )


def _dots(figure: "Figure", songs: Sequence[_Named], licks: Sequence[LickUse]) -> None:
    axes = _grid(
        figure,
        columns=songs,
        rows=[f"{_short(use.lick)}, in {use.songs}" for use in licks],
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
    _headline(axes, "Which song has which lick", "behind each lick, in how many of these songs")


def _bars(figure: "Figure", lessons: Sequence[Lesson]) -> None:
    figure.set_size_inches(1.5 + 1.3 * CELL * len(lessons), 3)
    axes = figure.subplots()
    numbers = [lesson.lesson for lesson in lessons]
    new = [lesson.new for lesson in lessons]
    reused = [lesson.reused for lesson in lessons]
    for heights, below, label, colour, hatch in (
        (new, [0] * len(new), "new", BLUE, ""),
        (reused, new, "re-used", GREY, "///"),
    ):
        bars = axes.bar(
            numbers,
            heights,
            bottom=below,
            label=label,
            color=colour,
            hatch=hatch,
            edgecolor="black",
        )
        inside = [str(height) if height else "" for height in heights]
        axes.bar_label(
            bars,
            inside,
            label_type="center",
            fontsize=SMALL,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )
    axes.set_xticks(numbers, [f"{_short(each.title)}  {each.lesson}" for each in lessons])
    axes.tick_params(axis="x", rotation=90, length=0)
    axes.set_ylabel("measures")
    axes.margins(x=0.01)
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_title("New and re-used material, lesson by lesson", loc="left")
    axes.legend(loc="lower left", bbox_to_anchor=(0, 1.1), ncols=2, frameon=False)


def _grid(figure: "Figure", *, columns: Sequence[_Named], rows: Sequence[str]) -> "Axes":
    """Make square cells, songs above them and names before them."""
    figure.set_size_inches(CELL * len(columns), CELL * len(rows))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(-0.5, len(columns) - 0.5)
    axes.set_ylim(len(rows) - 0.5, -0.5)
    axes.set_xticks(range(len(columns)), [_short(title) for _, title in columns], rotation=90)
    axes.set_yticks(range(len(rows)), [_short(name) for name in rows])
    axes.xaxis.tick_top()
    axes.tick_params(length=0)
    axes.set_axisbelow(True)
    axes.grid(color=GREY, linewidth=0.5)
    return axes


def _number(axes: "Axes", column: int, row: int, value: int, colour: str) -> None:
    axes.text(column, row, str(value), color=colour, size=SMALL, ha="center", va="center_baseline")


def _headline(axes: "Axes", title: str, explained: str) -> None:
    """Write below the picture what it shows; above it stand the names."""
    axes.set_xlabel(f"{title}\n({explained})", loc="left", labelpad=8, size=NORMAL)


def _short(name: str) -> str:
    """Cut a long name; characters that XML forbids, such as a bell, are left out."""
    printable = "".join(letter for letter in name if letter.isprintable())
    return shorten(printable, LONGEST_NAME, placeholder=" …")
