"""Write plots as SVG files: their style, and how text in them is shortened.

Nothing is shown by colour alone: every coloured cell has a number, every bar a hatching. Text stays
text, so that a picture can be searched and read aloud.
"""

import warnings
from collections.abc import Callable
from pathlib import Path
from textwrap import shorten
from typing import TYPE_CHECKING

from melodex.errors import AuditError
from melodex.whole_files import written_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

LONGEST_NAME = 48  # characters of a title or lick
SMALL, NORMAL = 7, 9  # points
CELL = 0.26  # inches, enough for a number of three digits
BLUE, GREY = "#0072B2", "#D9D9D9"  # dark and light, also with colour blindness


def write_picture(path: Path, draw: Callable[["Figure"], None]) -> Path:
    """Draw into a file; the same drawing gives the same bytes.

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
            "svg.hashsalt": "melodex",  # otherwise ids differ each time
            "text.parse_math": False,  # a title may contain dollar signs
            "font.size": NORMAL,
        }
    )
    with look, warnings.catch_warnings():
        # The viewer's fonts draw the text, so it does not matter which glyphs the measuring font
        # lacks.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        figure = Figure()
        draw(figure)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            undated = {"Date": None, "Creator": None}
            with written_whole(path) as part:
                figure.savefig(part, format="svg", bbox_inches="tight", metadata=undated)
        except OSError as error:
            raise AuditError(
                f"Cannot write {path}: {error.strerror or error}.", "choose another folder."
            ) from error
    return path


def shortened(name: str) -> str:
    """Return a shortened name, without characters that XML forbids."""
    printable = "".join(letter for letter in name if letter.isprintable())
    return shorten(printable, LONGEST_NAME, placeholder=" …")
