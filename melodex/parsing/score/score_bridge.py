"""Scores as music21 reads them, handed on as plain records; the only import of music21."""

# ruff: noqa: ANN401 - music21 is only partly typed

import contextlib
import io
import re
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from music21.musicxml.xmlToM21 import MusicXMLImporter

from melodex.errors import ScoreParseError
from melodex.parsing.score.score_stream import written_part
from melodex.parsing.written_score import WrittenPart, WrittenPiece

_MEASURE_AT_FAULT = re.compile(r"(?:in m\.|measure \() ?(\d+)")


def piece_of_musicxml(score: Element, shown: Path) -> WrittenPiece:
    """Read a score-partwise document.

    Raises
    ------
    ScoreParseError
        If music21 cannot make it out.
    """
    importer: Any = MusicXMLImporter()  # type: ignore[no-untyped-call]
    with _explaining(shown, "the MusicXML"):
        importer.xmlRootToScore(score, importer.stream)
        return WrittenPiece(_titles(importer.stream), _parts(importer.stream.parts))


def _parts(parts: Any) -> list[WrittenPart]:
    written: list[WrittenPart] = []
    for part in parts:
        if part.atSoundingPitch is False:
            part.toSoundingPitch(inPlace=True)
        written.append(written_part(part))
    return written


def _titles(score: Any) -> list[str]:
    names = score.metadata
    titles = (names.title, names.movementName, names.alternativeTitle, names.popularTitle)
    return list(dict.fromkeys(" ".join(title.split()) for title in titles if title))


@contextlib.contextmanager
def _explaining(shown: Path, kind: str) -> Iterator[None]:
    """Silence music21, and turn whatever it raises into one sentence."""
    with (
        warnings.catch_warnings(record=True) as grumbles,
        contextlib.redirect_stderr(io.StringIO()),
    ):
        warnings.simplefilter("always")
        try:
            yield
        except (ScoreParseError, MemoryError):
            raise
        except Exception as error:  # music21 lets any exception escape
            said = " ".join([*(str(grumble.message) for grumble in grumbles[-1:]), str(error)])
            measure = _MEASURE_AT_FAULT.search(said)
            where = f"measure {measure[1]} of " if measure else ""
            reason = f"{where}{kind} is damaged, or says something that makes no sense"
            raise ScoreParseError(shown, reason=reason) from error
