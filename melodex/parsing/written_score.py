"""A tune of a score in any format, as plain records, and its conversion to a song."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np

from melodex.errors import ScoreParseError
from melodex.model.key import Key
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE
from melodex.model.metre import FREE_METRE
from melodex.model.song import BarLine, ChordSymbol, MetreChange, Song, Source, Syllable, Touch
from melodex.parsing.measures import MeasureList, list_measures
from melodex.parsing.melody_line import (
    UNKNOWN_FRET,
    UNKNOWN_STRING,
    AttachedNote,
    MelodyLine,
    WrittenVoice,
    melody_line,
)
from melodex.parsing.repeats import RepeatMark, played_sections


class WrittenNote(NamedTuple):
    """One note as written in a score."""

    onset: float  # quarter notes from the start of the music
    duration: float  # quarter notes; 0 for a grace note
    pitch: int  # sounding; MIDI note number
    string: int = UNKNOWN_STRING
    fret: int = UNKNOWN_FRET
    is_tied: bool = False  # to the next note
    left_hand: str = ""  # as in ``Touch``
    finger: str = ""
    is_melody: bool = False  # as in ``Touch``
    syllable: str = ""
    ends_phrase: bool = False


@dataclass(frozen=True, slots=True)
class WrittenMeasure:
    """A stretch between two bar lines."""

    onset: float  # quarter notes from the start of the music
    number: int | None  # as written; None if the score has none


@dataclass(frozen=True, slots=True)
class WrittenScore:
    """One tune of a score, reduced to its melody voice."""

    notes: Sequence[WrittenNote]  # of one voice, in any order
    measures: Sequence[WrittenMeasure]
    end: float  # length of the music in quarter notes
    metres: Sequence[MetreChange] = ()  # the first at 0; empty if the score states none
    key: Key | None = None
    tempo: float | None = None  # quarter notes a minute
    chords: Sequence[ChordSymbol] = ()
    bar_lines: Sequence[BarLine] = ()
    repeat_marks: Sequence[RepeatMark] = ()
    tuning: tuple[int, ...] = ()
    remarks: Sequence[str] = ()


class WrittenPart(NamedTuple):
    """One part, or one staff of a part, of a score."""

    name: str  # its name in the score
    staff: str  # its id in the score; "P1-Staff2" for a staff of a MusicXML part
    has_tab_clef: bool
    score: WrittenScore

    @property
    def has_notes(self) -> bool:
        """Whether it has any note."""
        return any(note.duration > 0 for note in self.score.notes)

    @property
    def is_tab(self) -> bool:
        """Whether it is tablature: it has a tab clef, and notes with string and fret."""
        return self.has_tab_clef and any(note.fret != UNKNOWN_FRET for note in self.score.notes)


class WrittenPiece(NamedTuple):
    """One piece of a score file."""

    titles: Sequence[str]  # the main title first; empty if the score states none
    parts: Sequence[WrittenPart]  # from top to bottom of the score


def song_of(score: WrittenScore, titles: Sequence[str], source: Source, collection: str) -> Song:
    """Return the song of a score.

    Raises
    ------
    ScoreParseError
        If there is no note, or one is outside MIDI's range.
    """
    shown = Path(source.file)
    if not any(note.duration > 0 for note in score.notes):
        raise ScoreParseError(shown, tune=source.tune, reason="it has no notes")
    metres = score.metres or (MetreChange(0.0, FREE_METRE),)
    measures = _measure_list(score, metres)
    _check_pitches(score.notes, measures, source)
    voice, syllables = _one_line(score.notes)
    line = melody_line(voice, measures)
    played = played_sections(score.repeat_marks, score.end)
    remarks = list(score.remarks)
    if played.shortened:
        remarks.append("It has more repeats than can be followed; some are left out.")
    title, *other_titles = titles or (shown.stem,)
    return Song(
        title=title,
        other_titles=tuple(other_titles),
        melody=line.melody,
        measures=measures.grid(),
        sections=np.array(played.sections),
        source=source,
        collection=collection,
        key=score.key,
        metre=metres[0].metre,
        metre_changes=tuple(metres[1:]),
        tempo=score.tempo,
        chords=tuple(sorted(score.chords, key=lambda chord: chord.onset)),
        bar_lines=tuple(score.bar_lines),
        lyrics=tuple(Syllable(int(line.note_of_written[note]), text) for note, text in syllables),
        tuning=score.tuning,
        touches=_touches(score.notes, line),
        remarks=tuple(remarks),
    )


def _touches(notes: Iterable[WrittenNote], line: MelodyLine) -> tuple[Touch, ...]:
    """Return how the notes of the melody and their chord tones are played."""
    note_at = {onset: note for note, onset in enumerate(line.melody.onsets.tolist())}
    touches = [
        Touch(note_at[note.onset], note.string, note.left_hand, note.finger, note.is_melody)
        for note in notes
        if note.left_hand or note.finger or note.is_melody
        if note.duration > 0 and note.onset in note_at
    ]
    return tuple(sorted(touches, key=lambda touch: (touch.note, touch.string)))


def _measure_list(score: WrittenScore, metres: Sequence[MetreChange]) -> MeasureList:
    """List the measures with the numbers written, else as a musician counts them on the page.

    A measure without a number gets the number before it. If numbers decrease, or are all equal,
    they do not identify measures, so all are counted afresh.
    """
    bars = [measure.onset for measure in score.measures]
    seams = {mark.onset for mark in score.repeat_marks if not mark.passes}
    counted = list_measures(bars, score.end, metres, seams)
    written = {measure.onset: measure.number for measure in score.measures}
    if not any(number is not None for number in written.values()):
        return counted
    numbers: list[int] = []
    for onset in counted.onsets:
        number = written.get(onset)
        numbers.append(number if number is not None else numbers[-1] if numbers else 0)
    if counted.numbers[0] == 0 and numbers[:1] == numbers[1:2]:
        numbers[0] -= 1  # a pickup written with the number of the measure after it
    is_ascending = all(number <= following for number, following in pairwise(numbers))
    are_usable = is_ascending and (len(numbers) == 1 or numbers[-1] > numbers[0])
    return replace(counted, numbers=numbers) if are_usable else counted


def _check_pitches(notes: Iterable[WrittenNote], measures: MeasureList, source: Source) -> None:
    for note in notes:
        if not LOWEST_MIDI_NOTE <= note.pitch <= HIGHEST_MIDI_NOTE:
            place = sum(onset <= note.onset for onset in measures.onsets) - 1
            raise ScoreParseError(
                Path(source.file),
                tune=source.tune,
                reason=f"a note in measure {measures.numbers[place]} has pitch {note.pitch}, "
                f"outside MIDI's {LOWEST_MIDI_NOTE} to {HIGHEST_MIDI_NOTE}",
            )


def _one_line(notes: Iterable[WrittenNote]) -> tuple[WrittenVoice, list[tuple[int, str]]]:
    """Reduce notes that may sound together to one line, and list its syllables.

    Of notes that begin together the highest is the melody's, and provides string, fret and tie; a
    note still sounding when the next begins is cut short there. A grace note belongs to the next
    note, or at the end of the music to the last one.
    """
    voice = WrittenVoice()
    syllables: list[tuple[int, str]] = []
    graces: list[WrittenNote] = []
    for note in sorted(notes, key=_order):
        if note.duration <= 0:
            graces.append(note)
        elif voice.onsets and voice.onsets[-1] == note.onset:
            voice.chord_tones.append(_attached(note, len(voice.onsets) - 1))
        else:
            _append(voice, note)
            voice.grace_notes.extend(_attached(grace, len(voice.onsets) - 1) for grace in graces)
            graces.clear()
        if note.syllable and voice.onsets:
            syllables.append((len(voice.onsets) - 1, note.syllable))
        if note.ends_phrase and voice.onsets:
            voice.phrase_ends.append(len(voice.onsets) - 1)
    voice.grace_notes.extend(_attached(grace, len(voice.onsets) - 1) for grace in graces)
    return voice, syllables


def _order(note: WrittenNote) -> tuple[float, bool, int]:
    """Return a sort key: by time, grace notes first as written, then by falling pitch."""
    is_grace = note.duration <= 0
    return note.onset, not is_grace, 0 if is_grace else -note.pitch


def _append(voice: WrittenVoice, note: WrittenNote) -> None:
    if voice.onsets:
        voice.durations[-1] = min(voice.durations[-1], note.onset - voice.onsets[-1])
    voice.onsets.append(note.onset)
    voice.durations.append(note.duration)
    voice.pitches.append(note.pitch)
    voice.ties.append(note.is_tied)
    voice.strings.append(note.string)
    voice.frets.append(note.fret)


def _attached(note: WrittenNote, belongs_to: int) -> AttachedNote:
    return AttachedNote(belongs_to, note.pitch, note.string, note.fret)
