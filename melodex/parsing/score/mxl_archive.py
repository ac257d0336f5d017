"""Open compressed MusicXML (.mxl, a zip archive) in memory, within bounds."""

import zipfile
from collections.abc import Callable, Generator
from contextlib import contextmanager
from functools import partial
from io import BytesIO
from pathlib import Path, PurePosixPath
from xml.etree.ElementTree import Element

from melodex.errors import ScoreParseError
from melodex.parsing.file_content import LARGEST_FILE
from melodex.parsing.score.safe_xml import parse_xml

MOST_MEMBERS = 1000
# The highest ratio among the 535 archives in music21's corpus is 55. Below 16 MB a high ratio is
# harmless: a tune of twenty thousand equal notes packs as tightly as a zip bomb.
HIGHEST_RATIO = 250
HARMLESS_SIZE = 16 * 2**20

_CONTAINER = "META-INF/container.xml"
_OTHER_MEDIA = ("pdf", "image/", "audio/")  # a container may list printed and recorded versions
_LINK = "{http://www.w3.org/1999/xlink}href"


def scores_in_archive(content: bytes, shown: Path) -> list[Callable[[], Element]]:
    """Return a loader for each score in an archive: one, unless it is an opus.

    Nothing is written to disk, so a member's name cannot point outside the archive.

    Returns
    -------
    list of callables
        Each returns the root of a score, or raises ScoreParseError.

    Raises
    ------
    ScoreParseError
        If the archive is damaged, encrypted, would unpack beyond its bounds, or has no score.

    Source
    ------
    MusicXML 4.0, "Compressed .mxl files": META-INF/container.xml names the score.
    """
    with _opened(content, shown) as archive:
        _check_bounds(archive, len(content), shown)
        main = _main_document(archive, shown)
        root = _document(archive, main, shown)
    if root.tag != "opus":
        return [lambda: root]
    folder = PurePosixPath(main).parent
    links = [str(folder / score.get(_LINK, "")) for score in root.iter("score")]
    return [partial(_document_again, content, link, shown) for link in dict.fromkeys(links)]


@contextmanager
def _opened(content: bytes, shown: Path) -> Generator[zipfile.ZipFile]:
    """Open an archive; any error while unpacking becomes one sentence."""
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            yield archive
    except ScoreParseError:
        raise
    except (RuntimeError, NotImplementedError) as error:
        reason = "the .mxl archive is encrypted or packed in an unknown way"
        raise ScoreParseError(shown, reason=reason) from error
    except Exception as error:  # zipfile raises arbitrary exceptions for a damaged directory
        reason = "the .mxl archive is damaged or cut off"
        raise ScoreParseError(shown, reason=reason) from error


def _document_again(content: bytes, name: str, shown: Path) -> Element:
    with _opened(content, shown) as archive:
        return _document(archive, name, shown)


def _check_bounds(archive: zipfile.ZipFile, packed_size: int, shown: Path) -> None:
    members = archive.infolist()
    if len(members) > MOST_MEMBERS:
        reason = f"the .mxl archive has {len(members)} members, more than {MOST_MEMBERS}"
        raise ScoreParseError(shown, reason=reason)
    unpacked_size = sum(member.file_size for member in members)
    bound = min(LARGEST_FILE, max(HARMLESS_SIZE, HIGHEST_RATIO * packed_size))
    if unpacked_size > bound:
        reason = (
            f"the .mxl archive would unpack to {unpacked_size / 2**20:,.0f} MB, "
            f"more than the {bound / 2**20:,.0f} MB allowed"
        )
        raise ScoreParseError(shown, reason=reason)


def _main_document(archive: zipfile.ZipFile, shown: Path) -> str:
    if _CONTAINER not in archive.namelist():
        raise ScoreParseError(shown, reason=f"the .mxl archive has no {_CONTAINER}")
    for element in _document(archive, _CONTAINER, shown).iter():
        is_rootfile = element.tag.rpartition("}")[2] == "rootfile"
        if is_rootfile and not any(kind in element.get("media-type", "") for kind in _OTHER_MEDIA):
            return element.get("full-path", "")
    raise ScoreParseError(shown, reason=f"the .mxl archive's {_CONTAINER} names no score")


def _document(archive: zipfile.ZipFile, name: str, shown: Path) -> Element:
    if name not in archive.namelist():
        reason = f"the .mxl archive names {name!r} as its score but does not contain it"
        raise ScoreParseError(shown, reason=reason)
    with archive.open(name) as member:
        # Read in one bounded call: the header may state a smaller size than the data unpack to.
        document = member.read(archive.getinfo(name).file_size)
    if document.startswith(b"PK"):
        reason = f"the .mxl archive names {name!r} as its score, which is an archive itself"
        raise ScoreParseError(shown, reason=reason)
    return parse_xml(document, shown)
