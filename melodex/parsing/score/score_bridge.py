"""Scores as music21 reads them, handed on as plain records; the only import of music21."""

# ruff: noqa: ANN401 - music21 is only partly typed

import contextlib
import io
import re
import warnings
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, takewhile
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from music21.humdrum.spineParser import HumdrumDataCollection
from music21.midi import MetaEvents, MidiFile
from music21.midi.translate import midiFileToStream
from music21.musicxml.xmlToM21 import MusicXMLImporter

from melodex.errors import ScoreParseError
from melodex.parsing.score.musicxml_document import MOST_MEASURES
from melodex.parsing.score.score_stream import BesideNotes, written_part
from melodex.parsing.written_score import WrittenPart, WrittenPiece

_DRUMS = 10  # the channel that General MIDI gives to percussion, counted from 1
_NO_METRE = "The file states no metre; its measures are counted as if in 4/4."
_MEASURE_AT_FAULT = re.compile(r"(?:in m\.|measure \() ?(\d+)")
_ENDLESS_METRE = re.compile(r"\*M(\d{3}|\d+/\d{4})[\d/+]*")
_WORDS = frozenset({"text", "lyrics", "silbe"})


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


def pieces_of_kern(text: str, shown: Path) -> list[WrittenPiece]:
    """Read the pieces of a Humdrum file, each with its parts from the highest to the lowest.

    Raises
    ------
    ScoreParseError
        If music21 cannot make it out, or leaves out a token that should be a note.
    """
    lines = text.splitlines()
    _check_metres(lines, shown)
    with _explaining(shown, "the Humdrum file"):
        _, divided = HumdrumDataCollection(lines).determineIfDataStreamIsOpus()
    pieces: list[WrittenPiece] = []
    lines_before = 0
    for piece_lines in divided or [lines]:
        pieces.append(_piece_of_kern(piece_lines, shown, lines_before))
        lines_before += len(piece_lines)
    return pieces


def _check_metres(lines: list[str], shown: Path) -> None:
    # music21 10.5 hangs at a metre of a hundred thousand beats.
    for number, line in enumerate(lines, start=1):
        metre = _ENDLESS_METRE.search(line) if line.startswith("*") else None
        if metre:
            reason = f"the metre {metre[0]!r} makes no sense"
            raise ScoreParseError(shown, line=number, reason=reason)


def _piece_of_kern(lines: list[str], shown: Path, lines_before: int) -> WrittenPiece:
    humdrum = HumdrumDataCollection(lines)
    with _explaining(shown, "the Humdrum file"):
        score = humdrum.parseNonOpus(lines)
        parts: list[WrittenPart] = []
        for part in score.parts:
            tokens = _note_tokens(humdrum, part)
            _check_none_is_lost(tokens, part, shown, lines_before)
            _restore_bar_lines(humdrum, part)
            beside = BesideNotes(_phrase_end_lines(tokens), _words_by_line(humdrum, part))
            parts.append(written_part(part, beside=beside))
    return WrittenPiece(_titles(score), parts)


def _note_tokens(humdrum: Any, part: Any) -> dict[int, str]:
    """List what stands in a part's spine for notes and rests, by line."""
    spines = humdrum.spineCollection.spines
    own = {spine.id for spine in spines if spine.stream is part}
    own |= {spine.id for spine in spines if spine.parentSpine and spine.parentSpine.id in own}
    tokens: dict[int, str] = {}
    for event in chain.from_iterable(spine.eventList for spine in spines if spine.id in own):
        if _is_data(event.contents):
            # Where the spine is split, a line has a token for each branch.
            before = tokens.get(event.lineNumber)
            tokens[event.lineNumber] = f"{before} {event.contents}" if before else event.contents
    return tokens


def _words_by_line(humdrum: Any, part: Any) -> dict[int, str]:
    """List what is sung to a part: what stands in the spines of words between it and the next.

    music21 10.5 puts words to notes only where the spines are numbered by staff.
    """
    spines = humdrum.spineCollection.spines
    place = next(place for place, spine in enumerate(spines) if spine.stream is part)
    beside = takewhile(lambda spine: spine.spineType != "kern", spines[place + 1 :])
    words = next((spine.eventList for spine in beside if spine.spineType in _WORDS), ())
    return {event.lineNumber: event.contents for event in words if _is_data(event.contents)}


def _restore_bar_lines(humdrum: Any, part: Any) -> None:
    """Give measures and voices the numbers, and bar lines the repeat signs, that the file has.

    music21 10.5 calls the first measure 1 whatever its number is ("=34" in Palestrina's
    Benedictus_19_b), sees a repeat start in "=:|!" (BWV 277), and names voices by their place in
    memory.
    """
    spine = next(spine for spine in humdrum.spineCollection.spines if spine.stream is part)
    bar_lines = {event.lineNumber: event.contents for event in spine.eventList}
    for measure in part.getElementsByClass("Measure"):
        bar_line = bar_lines.get(measure.priority, "")
        number = re.match(r"=+(\d{1,6})", bar_line)
        if number:
            measure.number = int(number[1])
        if measure.leftBarline and not re.search(r"[|!]:", bar_line):
            measure.leftBarline = None
        for place, voice in enumerate(measure.voices, start=1):
            voice.id = str(place)


def _is_data(token: str) -> bool:
    return token not in ("", ".") and not token.startswith(("*", "!", "="))


def _phrase_end_lines(tokens: dict[int, str]) -> frozenset[int]:
    """List the lines of the notes that end a phrase.

    music21 drops the marks, but knows the line of each note. A phrase may close on a rest.
    """
    ends: set[int] = set()
    latest_note = 0
    for line in sorted(tokens):
        if any("r" not in token and "q" not in token.lower() for token in tokens[line].split()):
            latest_note = line
        if "}" in tokens[line]:
            ends.add(latest_note)
    return frozenset(ends)


def _check_none_is_lost(tokens: dict[int, str], part: Any, shown: Path, lines_before: int) -> None:
    # music21 goes on without a token that it cannot read, and says so on stderr only.
    for line in sorted(tokens.keys() - {element.priority for element in part.recurse()}):
        reason = f"{tokens[line]!r} is no note or rest of kern"
        raise ScoreParseError(shown, line=lines_before + line, reason=reason)


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
        except (ScoreParseError, MemoryError):
            raise
        except Exception as error:  # music21 lets any exception escape
            said = " ".join([*(str(grumble.message) for grumble in grumbles[-1:]), str(error)])
            measure = _MEASURE_AT_FAULT.search(said)
            where = f"measure {measure[1]} of " if measure else ""
            reason = f"{where}{kind} is damaged, or says something that makes no sense"
            raise ScoreParseError(shown, reason=reason) from error
