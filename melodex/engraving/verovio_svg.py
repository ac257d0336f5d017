"""MEI to SVG by Verovio: the only import of verovio."""

from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

_OPTIONS = {
    "adjustPageHeight": True,
    "adjustPageWidth": True,
    "breaks": "none",
    "footer": "none",
    "header": "none",
    "mnumInterval": 0,  # never: svg_measures.py writes the numbers
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


def svg_of_line(mei: str) -> str:
    """Engrave a document as one line of music, however long, with a single page for a picture."""
    with _ONE_AT_A_TIME:
        toolkit = _toolkit()
        toolkit.loadData(mei)
        svg: str = toolkit.renderToSVG(1)
        return svg


@cache
def _toolkit() -> Any:  # noqa: ANN401 - Verovio's own type stays here
    import verovio

    verovio.enableLog(verovio.LOG_OFF)  # of what does not fit the page, which grows
    # Each thread has its own path, and only the one that imported Verovio first has it set.
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    toolkit: Any = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    return toolkit
