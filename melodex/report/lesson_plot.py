"""What is new in each lesson of a plan, as a picture."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from melodex.model.results.lesson import Lesson
from melodex.report.plot_files import BLUE, CELL, GREY, SMALL, shortened, write_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LESSONS = "new_material.svg"


def draw_lessons(lessons: Sequence[Lesson], folder: Path) -> list[Path]:
    """Draw what is new and what is re-used lesson by lesson; nothing where no lesson is.

    Raises
    ------
    AuditError
        If the folder or the file cannot be written.
    """
    if not lessons:
        return []
    return [write_picture(folder / LESSONS, lambda figure: _bars(figure, lessons))]


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
        inside = [f"{height:g}" if height else "" for height in heights]
        axes.bar_label(
            bars,
            inside,
            label_type="center",
            fontsize=SMALL,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )
    axes.set_xticks(numbers, [f"{shortened(each.title)}  {each.lesson}" for each in lessons])
    axes.tick_params(axis="x", rotation=90, length=0)
    axes.set_ylabel("quarter notes")
    axes.margins(x=0.01)
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_title("New and re-used material, lesson by lesson", loc="left")
    axes.legend(loc="lower left", bbox_to_anchor=(0, 1.1), ncols=2, frameon=False)
