"""Scores as music21 reads them, handed on as plain records; the only import of music21."""

# ruff: noqa: ANN401 - music21 is only partly typed

import contextlib
import io
import re
import warnings
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from music21.midi import MetaEvents, MidiFile
from music21.midi.translate import midiFileToStream
from music21.musicxml.xmlToM21 import MusicXMLImporter, PartParser
from music21.stream.base import Measure, Part

from melodex.errors import ScoreParseError
from melodex.parsing.score.musicxml_document import MOST_MEASURES
from melodex.parsing.score.score_stream import written_part
from melodex.parsing.written_score import WrittenPart, WrittenPiece

_DRUMS = 10  # the channel that General MIDI gives to percussion, counted from 1
_NO_METRE = "The file states no metre; its measures are counted as if in 4/4."
_MEASURE_AT_FAULT = re.compile(r"(?:in m\.|measure \() ?(\d+)")


def piece_of_musicxml(score: Element, shown: Path) -> WrittenPiece:
    """Read a score-partwise document.

    Raises
    ------
    ScoreParseError
        If music21 cannot make it out.
    """
    importer: Any = _Importer()
    with _explaining(shown, "the MusicXML"):
        importer.xmlRootToScore(score, importer.stream)
        return WrittenPiece(_titles(importer.stream), _parts(importer.stream.parts))


def piece_of_midi(content: bytes, shown: Path) -> WrittenPiece:
    """Read a MIDI file, its times rounded to sixteenths and triplet eighths.

    Without a stated metre the song has none, and its measures are counted by four quarters,
    which is what MIDI takes for granted.

    Raises
    ------
    ScoreParseError
        If music21 cannot make it out.

    Source
    ------
    The rounding is music21's default (a quarter note in 4 and 3); 4/4 is the default of the
    Standard MIDI Files specification 1.0 (from memory).
    """
    if not _is_whole(content):
        raise ScoreParseError(shown, reason="the MIDI file is damaged or cut off")
    with _explaining(shown, "the MIDI file"):
        midi = MidiFile()
        midi.readstr(content)
        midi.tracks = [track for track in midi.tracks if not _is_percussion(track)]
        _check_tracks(midi, shown)
        score = midiFileToStream(midi)
        events = [event.type for track in midi.tracks for event in track.events]
        parts = _parts(score.parts, every_voice=True)
    titles = [parts[0].name] if len(parts) == 1 and parts[0].name else []
    if MetaEvents.TIME_SIGNATURE in events:
        return WrittenPiece(titles, parts)
    return WrittenPiece(titles, [_without_metre(part) for part in parts])


class _Importer(MusicXMLImporter):
    """music21's importer, but for the quadratic time that it takes over the measures of a part."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    def xmlPartToPart(self, mxPart: Any, mxScorePart: Any) -> Any:  # noqa: N802, N803
        parser: Any = _PartParser(mxPart, mxScorePart=mxScorePart, parent=self)
        parser.stream = _PartInOrder()  # type: ignore[no-untyped-call]
        parser.parse()
        return parser.stream if parser.appendToScoreAfterParse else None


class _PartParser(PartParser):
    def adjustTimeAttributesFromMeasure(self, m: Any) -> None:  # noqa: N802
        """Move on by a measure; what is missing in a short one is not worked out.

        For that music21 10.5 looks for the metre through the whole part.
        """
        metre: Any = self.lastTimeSignature
        full_length = metre.barDuration.quarterLength if metre else 4.0
        has_notes = m.recurse().notesAndRests.getElementsNotOfClass("Harmony")
        if m.highestTime < full_length and has_notes:
            self.lastMeasureOffset += m.highestTime
        else:
            super().adjustTimeAttributesFromMeasure(m)


class _PartInOrder(Part):
    """A part whose measures come in order, so that it is sorted whatever its length."""

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


def _check_tracks(midi: Any, shown: Path) -> None:
    if not any(track.hasNotes() for track in midi.tracks):
        raise ScoreParseError(shown, reason="it has no notes")
    for track in midi.tracks:
        ticks = sum(event.time for event in track.events if event.isDeltaTime())
        if ticks > 4 * MOST_MEASURES * midi.ticksPerQuarterNote:
            reason = f"it is longer than {MOST_MEASURES:,} measures of four quarters"
            raise ScoreParseError(shown, reason=reason)


def _is_whole(content: bytes) -> bool:
    """Whether every chunk of a MIDI file is as long as it says; music21 reads what is left."""
    start = 0
    while start + 8 <= len(content):
        start += 8 + int.from_bytes(content[start + 4 : start + 8])
    return start <= len(content) and not content[start:].strip(b"\0")


def _without_metre(part: WrittenPart) -> WrittenPart:
    return part._replace(score=replace(part.score, metres=(), remarks=(_NO_METRE,)))


def _is_percussion(track: Any) -> bool:
    notes = [event for event in track.events if event.isNoteOn()]
    return bool(notes) and all(event.channel == _DRUMS for event in notes)


def _parts(parts: Any, *, every_voice: bool = False) -> list[WrittenPart]:
    written: list[WrittenPart] = []
    for part in parts:
        if part.atSoundingPitch is False:
            part.toSoundingPitch(inPlace=True)
        written.append(written_part(part, every_voice=every_voice))
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
        except ScoreParseError:
            raise
        except Exception as error:  # music21 lets any exception escape
            said = " ".join([*(str(grumble.message) for grumble in grumbles[-1:]), str(error)])
            measure = _MEASURE_AT_FAULT.search(said)
            where = f"measure {measure[1]} of " if measure else ""
            reason = f"{where}{kind} is damaged, or says something that makes no sense"
            raise ScoreParseError(shown, reason=reason) from error
