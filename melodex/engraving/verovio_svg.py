"""Convert MEI to SVG with Verovio; the only module that imports verovio."""

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
    "mnumInterval": 0,  # never: svg_measures.py writes them
    "pageMarginBottom": 60,
    "pageMarginLeft": 10,
    "pageMarginRight": 10,
    "pageMarginTop": 20,
    "spacingStaff": 8,
    "svgFormatRaw": True,
    "svgHtml5": True,  # ids and classes as data attributes
    "svgRemoveXlink": True,
    "svgViewBox": True,
    "xmlIdChecksum": True,  # reproducible ids
}
_ONE_AT_A_TIME = Lock()  # a toolkit holds one document, and two are not thread-safe


def svg_of_line(mei: str) -> str:
    """Engrave a document as a single line of music on a single page."""
    with _ONE_AT_A_TIME:
        toolkit = _toolkit()
        toolkit.loadData(mei)
        svg: str = toolkit.renderToSVG(1)
        return svg


@cache
def _toolkit() -> Any:  # noqa: ANN401 - Verovio's own type stays here
    import verovio

    verovio.enableLog(verovio.LOG_OFF)  # warnings of music larger than the page
    # Each thread has its own resource path, and it is set only in the thread that first imported
    # Verovio.
    verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
    toolkit: Any = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    return toolkit
