"""Convert scores read by music21 to plain records; the only module that imports music21."""

# ruff: noqa: ANN401 - music21 is only partly typed

import contextlib
import io
import re
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from music21.musicxml.xmlToM21 import MusicXMLImporter, PartParser
from music21.stream.base import Measure, Part

from melodex.errors import ScoreParseError
from melodex.parsing.score.score_stream import written_part
from melodex.parsing.written_score import WrittenPart, WrittenPiece

_MEASURE_AT_FAULT = re.compile(r"(?:in m\.|measure \() ?(\d+)")


def piece_of_musicxml(score: Element, shown: Path) -> WrittenPiece:
    """Read a score-partwise document.

    Raises
    ------
    ScoreParseError
        If music21 cannot read it.
    """
    importer: Any = _Importer()
    with _explained_errors(shown, "the MusicXML"):
        importer.xmlRootToScore(score, importer.stream)
        return WrittenPiece(_titles(score), _parts(importer.stream.parts))


class _Importer(MusicXMLImporter):
    """music21's importer, without its quadratic time for the measures of a part."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    def xmlPartToPart(self, mxPart: Any, mxScorePart: Any) -> Any:  # noqa: N802, N803
        parser: Any = _PartParser(mxPart, mxScorePart=mxScorePart, parent=self)
        parser.stream = _PartInOrder()  # type: ignore[no-untyped-call]
        parser.parse()
        return parser.stream if parser.appendToScoreAfterParse else None


class _PartParser(PartParser):
    def adjustTimeAttributesFromMeasure(self, m: Any) -> None:  # noqa: N802
        """Advance by a measure, without computing what a short measure lacks.

        For that, music21 10.5 searches the whole part for the metre.
        """
        metre: Any = self.lastTimeSignature
        full_length = metre.barDuration.quarterLength if metre else 4.0
        has_notes = m.recurse().notesAndRests.getElementsNotOfClass("Harmony")
        if m.highestTime < full_length and has_notes:
            self.lastMeasureOffset += m.highestTime
        else:
            super().adjustTimeAttributesFromMeasure(m)


class _PartInOrder(Part):
    """A part whose measures are appended in order, so it is already sorted."""

    def insert(
        self,
        offsetOrItemOrList: Any,  # noqa: N803
        itemOrNone: Any = None,  # noqa: N803
        *,
        ignoreSort: bool = False,  # noqa: N803
        setActiveSite: bool = True,  # noqa: N803
    ) -> None:
        if not isinstance(itemOrNone, Measure):
            super().insert(
                offsetOrItemOrList,
                itemOrNone,
                ignoreSort=ignoreSort,
                setActiveSite=setActiveSite,
            )
            return
        is_sorted = self.isSorted
        self.coreInsert(offsetOrItemOrList, itemOrNone, ignoreSort=True)
        self.coreElementsChanged(updateIsFlat=False)
        self.isFlat, self.isSorted = False, is_sorted


def _parts(parts: Any) -> list[WrittenPart]:
    written: list[WrittenPart] = []
    for part in parts:
        if part.atSoundingPitch is False:
            part.toSoundingPitch(inPlace=True)
        written.append(written_part(part))
    return written


def _titles(score: Element) -> list[str]:
    """Return titles as written; music21 10.5 turns "Gate, The" into "The Gate"."""
    titles = (score.findtext(path) or "" for path in ("work/work-title", "movement-title"))
    return list(dict.fromkeys(" ".join(title.split()) for title in titles if title.strip()))


@contextlib.contextmanager
def _explained_errors(shown: Path, kind: str) -> Iterator[None]:
    """Suppress music21's warnings, and turn any exception into one sentence."""
    with (
        warnings.catch_warnings(record=True) as warnings_raised,
        contextlib.redirect_stderr(io.StringIO()),
    ):
        warnings.simplefilter("always")
        try:
            yield
        except (ScoreParseError, MemoryError):
            raise
        except Exception as error:  # music21 raises arbitrary exceptions
            latest = [str(warning.message) for warning in warnings_raised[-1:]]
            message = " ".join([*latest, str(error)])
            measure = _MEASURE_AT_FAULT.search(message)
            where = f"measure {measure[1]} of " if measure else ""
            reason = f"{where}{kind} is damaged or not valid"
            raise ScoreParseError(shown, reason=reason) from error
