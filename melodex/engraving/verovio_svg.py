"""MEI to SVG by Verovio: the only import of verovio."""

from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

UNITS_PER_PIXEL = 2  # Verovio's page units; a staff space is 18 of them
_TALLEST = 60_000  # units, the most that Verovio takes for a page; a longer song goes on a next one
_OPTIONS = {
    "adjustPageHeight": True,
    "breaks": "auto",
    "footer": "none",
    "header": "none",
    "mnumInterval": 1,
    "pageHeight": _TALLEST,
    "pageMarginBottom": 60,
    "pageMarginLeft": 10,
    "pageMarginRight": 10,
    "pageMarginTop": 20,
    "spacingStaff": 8,
    "svgFormatRaw": True,
    "svgHtml5": True,  # ids and classes as data attributes
    "svgRemoveXlink": True,
    "svgViewBox": True,
    "xmlIdChecksum": True,  # the same ids each time
}
_ONE_AT_A_TIME = Lock()  # a toolkit holds one document; two made at once spoil each other


def svg_pages(mei: str, width: int, *, system_gap: int) -> list[str]:
    """Engrave a document.

    Parameters
    ----------
    width : int
        Pixels that a staff is wide at normal size, at which a staff space has nine.
    system_gap : int
        Least space between systems, in half staff spaces.

    Returns
    -------
    list of str
        An SVG a page, one unless the music is very long.
    """
    with _ONE_AT_A_TIME:
        toolkit = _toolkit()
        page = {"pageWidth": width * UNITS_PER_PIXEL, "spacingSystem": system_gap}
        toolkit.setOptions(_OPTIONS | page)
        toolkit.loadData(mei)
        return [toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1)]


@cache
def _toolkit() -> Any:  # noqa: ANN401 - Verovio's own type stays here
    import verovio

    verovio.enableLog(verovio.LOG_OFF)  # of what does not fit the page, which grows
    # Each thread has its own path, and only the one that imported Verovio first has it set.
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    return verovio.toolkit()
