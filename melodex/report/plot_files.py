"""Pictures as SVG files: how they look, and how text in them is shortened.

Nothing is shown by colour alone: every coloured cell has its number, every bar its hatching. Text
stays text, so that a picture can be searched and read aloud.
"""

import warnings
from collections.abc import Callable
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

from melodex.errors import AuditError

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LONGEST_NAME = 48  # characters of a title or lick
SMALL, NORMAL = 7, 9  # points
CELL = 0.26  # inches, room for a number of three digits
BLUE, GREY = "#0072B2", "#D9D9D9"  # the one dark, the other light, in whatever eyes


def write_picture(path: Path, draw: Callable[["Figure"], None]) -> Path:
    """Draw into a file, the same bytes each time.

    Raises
    ------
    AuditError
        If the folder or the file cannot be written.
    """
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


def shortened(name: str) -> str:
    """Cut a long name; characters that XML forbids, such as a bell, are left out."""
    printable = "".join(letter for letter in name if letter.isprintable())
    return shorten(printable, LONGEST_NAME, placeholder=" …")
