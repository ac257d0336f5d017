"""Convert a part from music21's objects to a plain record.

music21 is only partly typed, so its objects are ``Any`` here; none is returned.
"""

# ruff: noqa: ANN401

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from melodex.model.metre import FREE_METRE
from melodex.model.song import BarLine, ChordSymbol, MetreChange
from melodex.parsing.part_choice import FIRST_VOICE
from melodex.parsing.repeats import RepeatMark
from melodex.parsing.score.note_hands import UNKNOWN_HANDS, NoteHands, from_colour
from melodex.parsing.score.score_facts import chord_text, key_of, metre_of, tempo_of
from melodex.parsing.written_score import WrittenMeasure, WrittenNote, WrittenPart, WrittenScore

STRANGE_METRE = "The metre {!r} is not valid; from there on the metre is unknown."
_BAR_STYLES = {"double": "double", "final": "final"}


def written_part(part: Any) -> WrittenPart:
    """Return the record of a part at sounding pitch.

    Parameters
    ----------
    part : music21.stream.Part
        A part with measures. Of several voices the one with the lowest number is read.
    """
    measures = list(part.getElementsByClass("Measure")) or [part]
    onsets = [
        0.0 if measure is part else float(measure.getOffsetBySite(part)) for measure in measures
    ]
    voice = _first_voice(measures)
    is_shared = any(sum(bool(voice.notes) for voice in measure.voices) > 1 for measure in measures)
    notes = [
        note
        for measure, onset in zip(measures, onsets, strict=True)
        for note in _notes(measure, onset, voice)
    ]
    bar_lines, repeat_marks = _bar_lines(part, measures, onsets)
    metres, remarks = _metres(measures, onsets)
    score = WrittenScore(
        notes=notes,
        measures=[
            WrittenMeasure(onset, _number(measure, onset))
            for measure, onset in zip(measures, onsets, strict=True)
        ],
        end=onsets[-1] + float(measures[-1].highestTime),
        metres=metres,
        key=key_of(part),
        tempo=tempo_of(part),
        chords=_chords(measures, onsets),
        bar_lines=bar_lines,
        repeat_marks=repeat_marks,
        remarks=[*remarks, *([FIRST_VOICE] if is_shared else [])],
    )
    return WrittenPart(
        name=part.partName or "",
        staff=next(iter(part.groups), ""),
        has_tab_clef=bool(part["TabClef"]),
        score=score,
    )


def _number(measure: Any, onset: float) -> int | None:
    """Return a measure's number; None for the second part of a divided one ("7a", or no number)."""
    number, suffix = getattr(measure, "number", 0), getattr(measure, "numberSuffix", None)
    return None if suffix or (number == 0 and onset > 0) else int(number)


def _first_voice(measures: Iterable[Any]) -> str:
    voices = {str(voice.id) for measure in measures for voice in measure.voices if voice.notes}
    return min(voices, key=lambda voice: (len(voice), voice), default="")


def _notes(measure: Any, onset: float, voice: str) -> Iterator[WrittenNote]:
    voices = (line for line in measure.voices if str(line.id) == voice)
    for line in (measure, *voices):  # what is not divided into voices is in the measure itself
        line_onset = onset if line is measure else onset + float(line.offset)
        for element in line.notes:
            is_melody = element.isNote or "Chord" in element.classes
            if is_melody and not element.classSet & {"Harmony", "PercussionChord", "Unpitched"}:
                yield from _sounding(element, line_onset + float(element.offset))


def _sounding(element: Any, onset: float) -> Iterator[WrittenNote]:
    """Yield a note, or the notes of a chord from lowest to highest."""
    notes = [element] if element.isNote else sorted(element.notes, key=lambda note: note.pitch.ps)
    duration = 0.0 if element.duration.isGrace else float(element.quarterLength)
    for note in notes:
        tie = note.tie or element.tie
        hands = _hands(note)
        yield WrittenNote(
            onset,
            duration,
            round(note.pitch.ps),
            hands.string,
            hands.fret,
            is_tied=tie is not None and tie.type in {"start", "continue"},
            left_hand=hands.left_hand,
            finger=hands.finger,
            is_melody=hands.is_melody,
            syllable=_syllable(element) if note is notes[-1] else "",
        )


def _hands(note: Any) -> NoteHands:
    return from_colour(note.style.color) if note.hasStyleInformation else UNKNOWN_HANDS


def _syllable(element: Any) -> str:
    return (element.lyrics[0].text or "").strip() if element.lyrics else ""


def _metres(
    measures: Sequence[Any], onsets: Sequence[float]
) -> tuple[list[MetreChange], list[str]]:
    """List the metre at the start and every change; return also remarks on those not valid.

    Music that begins without a valid metre is free.
    """
    changes: list[MetreChange] = []
    remarks: list[str] = []
    for measure, onset in zip(measures, onsets, strict=True):
        for signature in measure.getElementsByClass("TimeSignatureBase"):
            metre = metre_of(signature)
            if metre is None:
                remarks.append(STRANGE_METRE.format(signature.ratioString))
            if not changes or (metre or FREE_METRE) != changes[-1].metre:
                changes.append(MetreChange(onset + float(signature.offset), metre or FREE_METRE))
    if changes and changes[0].onset > 0:
        changes.insert(0, MetreChange(0.0, FREE_METRE))
    return changes, list(dict.fromkeys(remarks))


def _chords(measures: Sequence[Any], onsets: Sequence[float]) -> list[ChordSymbol]:
    return [
        ChordSymbol(onset + float(harmony.getOffsetInHierarchy(measure)), text)
        for measure, onset in zip(measures, onsets, strict=True)
        for harmony in measure["Harmony"]
        if (text := chord_text(harmony))
    ]


def _bar_lines(
    part: Any, measures: Sequence[Any], onsets: Sequence[float]
) -> tuple[list[BarLine], list[RepeatMark]]:
    """List all bar lines except single thin ones, and the repeat marks that they imply."""
    ends = [*onsets[1:], onsets[-1] + float(measures[-1].highestTime)]
    onset_of, end_of = (
        dict(zip(map(id, measures), times, strict=True)) for times in (onsets, ends)
    )
    lines: dict[float, list[Any]] = {}
    for measure in measures:
        lines.setdefault(onset_of[id(measure)], []).append(getattr(measure, "leftBarline", None))
        lines.setdefault(end_of[id(measure)], []).append(getattr(measure, "rightBarline", None))
    endings: dict[float, tuple[int, ...]] = {}
    closed: set[float] = set()
    for bracket in part["RepeatBracket"]:
        first, last = bracket.getFirst(), bracket.getLast()
        if id(first) in onset_of and id(last) in end_of:
            endings[onset_of[id(first)]] = tuple(bracket.numberRange)
            closed.add(end_of[id(last)])
    marks = [
        _mark(onset, lines[onset], endings.get(onset, ()), closes=onset in closed)
        for onset in sorted(lines)
    ]
    bar_lines = [_bar_line(mark, lines[mark.onset]) for mark in marks]
    return [line for line in bar_lines if line.style], [mark for mark in marks if any(mark[1:])]


def _mark(
    onset: float, lines: Iterable[Any], passes: tuple[int, ...], *, closes: bool
) -> RepeatMark:
    lines = [line for line in lines if line is not None]
    ends = [line for line in lines if getattr(line, "direction", "") == "end"]
    return RepeatMark(
        onset,
        times=max((end.times or 2 for end in ends), default=0),
        starts=any(getattr(line, "direction", "") == "start" for line in lines),
        divides=closes or any(line.type == "final" and line not in ends for line in lines),
        passes=tuple(number for number in passes if number > 0),
    )


def _bar_line(mark: RepeatMark, lines: Iterable[Any]) -> BarLine:
    styles = [_BAR_STYLES.get(line.type, "") for line in lines if line is not None]
    ending = ",".join(map(str, mark.passes))
    if mark.times or mark.starts:
        style = "repeat both" if mark.times and mark.starts else ""
        style = style or ("repeat end" if mark.times else "repeat start")
    else:
        style = max(styles, default="") or ("ending" if ending else "")
    return BarLine(mark.onset, style, ending)
