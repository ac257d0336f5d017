"""Turn the tokens of one ABC voice into notes with onsets and durations."""

from collections.abc import Callable, Iterator
from typing import ClassVar, TypeAlias, cast

from melodex.model.metre import Metre
from melodex.parsing.abc.abc_error import AbcError
from melodex.parsing.abc.abc_lyrics import LyricLine
from melodex.parsing.abc.abc_pitch import PitchReader
from melodex.parsing.abc.abc_rhythm import TICKS_OF_QUARTER, TICKS_OF_WHOLE, RhythmReader
from melodex.parsing.abc.abc_tokens import (
    AbcChord,
    Bar,
    Broken,
    Field,
    Grace,
    LateTie,
    MeasureRest,
    Note,
    Overlay,
    Quoted,
    Rest,
    Token,
    Tuplet,
)
from melodex.parsing.melody_line import AttachedNote, WrittenVoice

_MOST_MEASURES = 10_000  # in a voice, rests of several measures included; the same as for scores
_MOST_METRES = 2_000  # in a voice: each may differ from the others, and laying out beats takes time

_Note: TypeAlias = tuple[int, int, int, bool]  # onset, length, pitch, is tied


class VoiceReader:
    """Turns the tokens of one voice into notes; keeps bar lines and annotations.

    All times are in ticks from the start of the voice.
    """

    def __init__(self, pitch: PitchReader, rhythm: RhythmReader, metre: Metre) -> None:
        self.pitch, self.rhythm = pitch, rhythm
        self.time = 0
        self.metres: list[tuple[int, Metre]] = []
        self.bars: list[tuple[int, Bar]] = []
        self.quoted: list[tuple[int, str]] = []
        self.parts: list[tuple[int, str]] = []
        self.lyrics: list[LyricLine] = []
        self._notes: list[_Note] = []
        self._chord_tones: list[AttachedNote] = []
        self._grace_notes: list[AttachedNote] = []
        self._phrase_ends: list[int] = []
        self._last_length = 0  # of the previous note or rest; 0 at the start
        self._last_is_note = False
        self.late_ties = 0  # count of late ties that joined two notes
        self.has_open_chord = False  # whether a chord's closing bracket is missing
        self._is_late_tie = False  # whether one follows the latest note
        self._overlaid_measures = 0  # measures of an overlay still to skip
        self._line_first_note = 0
        self.set_metre(metre)

    @property
    def note_count(self) -> int:
        """The number of notes read so far."""
        return len(self._notes)

    def read(self, tokens: Iterator[Token]) -> Field | None:
        """Read tokens up to the next field or the end; return that field."""
        readers = self._reader_of_kind
        for token in tokens:
            kind = type(token)
            if kind is Field:
                return cast("Field", token)
            if not self._overlaid_measures or kind is Bar:
                readers[kind](self, token)
        return None

    def set_metre(self, metre: Metre) -> None:
        """Change the metre from here on."""
        if self.metres and self.metres[-1][0] == self.time:
            self.metres.pop()
        if len(self.metres) >= _MOST_METRES:
            raise AbcError(f"more than {_MOST_METRES:,} changes of metre")
        self.metres.append((self.time, metre))
        self._full_measure = int(metre.measure_length * TICKS_OF_QUARTER)  # 0 in free metre

    def begin_line(self) -> None:
        """Begin a line of music that does not continue the previous one."""
        self._line_first_note = self.note_count

    def end_phrase(self) -> None:
        """End a line that is a phrase: mark its last note, and a measure that may end here.

        Books with one phrase a line leave out the bar line at its end: in the Essen books 15,838
        lines end with a full measure, only 48 with a bar line (counted, without metre "none").
        Without a bar line, accidentals stay in force.
        """
        last = self.note_count - 1
        if last >= 0 and (not self._phrase_ends or self._phrase_ends[-1] < last):
            self._phrase_ends.append(last)
        since_bar = self.time - (self.bars[-1][0] if self.bars else 0)
        if self._full_measure and since_bar and since_bar % self._full_measure == 0:
            self.bars.append((self.time, Bar()))

    def add_lyrics(self, text: str, *, from_latest_line: bool) -> None:
        """Assign words to the notes that have none yet, or only to those of the latest line."""
        first = self.lyrics[-1].end_note if self.lyrics else 0
        if from_latest_line:
            first = max(first, self._line_first_note)
        self.lyrics.append(LyricLine(first, self.note_count, text))

    def written(self) -> WrittenVoice:
        """Return the notes in quarter notes, in the form that all readers share."""
        onsets, lengths, pitches, ties = zip(*self._notes, strict=True)
        return WrittenVoice(
            onsets=[onset / TICKS_OF_QUARTER for onset in onsets],
            durations=[length / TICKS_OF_QUARTER for length in lengths],
            pitches=list(pitches),
            ties=list(ties),
            chord_tones=self._chord_tones,
            # Grace notes at the very end are attached to the last note.
            grace_notes=[
                grace._replace(note=min(grace.note, self.note_count - 1))
                for grace in self._grace_notes
            ],
            phrase_ends=self._phrase_ends,
        )

    def _read_note(self, note: Note) -> None:
        tied = note.tied
        pitch = self.pitch.sounding(note, tied=tied)
        self._sound(pitch, self.rhythm.length(note.numerator, note.denominator), tied)

    def _read_chord(self, chord: AbcChord) -> None:
        tied_pitches = set[int]()
        pitches = set[int]()
        for note in chord.notes:
            tied = chord.tied or note.tied
            pitch = self.pitch.sounding(note, tied=tied)
            pitches.add(pitch)
            if tied:
                tied_pitches.add(pitch)
        self.has_open_chord |= not chord.is_closed
        highest = max(pitches)
        self._chord_tones.extend(
            AttachedNote(self.note_count, pitch) for pitch in sorted(pitches - {highest})
        )
        length = self.rhythm.length(chord.numerator, chord.denominator)
        self._sound(highest, length, highest in tied_pitches)

    def _sound(self, pitch: int, length: int, tied: bool) -> None:
        if self._is_late_tie:
            self.late_ties += pitch == self._notes[-1][2]
            self._is_late_tie = False
        self._notes.append((self.time, length, pitch, tied))
        self.time += length
        self._last_length, self._last_is_note = length, True
        self.pitch.end_note()

    def _read_rest(self, rest: Rest) -> None:
        self._rest(self.rhythm.length(rest.numerator, rest.denominator))

    def _read_measure_rest(self, rest: MeasureRest) -> None:
        if rest.measures + len(self.bars) > _MOST_MEASURES:
            raise AbcError(f"a rest of {rest.measures} measures")
        for number in range(rest.measures):
            if number:
                self._read_bar(Bar())
            self._rest(self._full_measure or TICKS_OF_WHOLE)

    def _rest(self, length: int) -> None:
        self.time += length
        self._last_length, self._last_is_note, self._is_late_tie = length, False, False
        self.pitch.end_note()

    def _read_grace(self, grace: Grace) -> None:
        self._grace_notes.extend(
            AttachedNote(self.note_count, self.pitch.sounding(note)) for note in grace.notes
        )

    def _read_bar(self, bar: Bar) -> None:
        if bar.is_line:
            self._overlaid_measures = max(self._overlaid_measures - 1, 0)
            if self._overlaid_measures:
                return
            self.pitch.end_bar()
        self.bars.append((self.time, bar))

    def _read_broken(self, broken: Broken) -> None:
        if not self._last_length:
            return  # no note before the mark
        length = self.rhythm.break_rhythm(broken, self._last_length)
        self.time += length - self._last_length
        self._last_length = length
        if self._last_is_note:
            onset, _, pitch, tied = self._notes[-1]
            self._notes[-1] = (onset, length, pitch, tied)

    def _read_late_tie(self, _tie: LateTie) -> None:
        if not self._last_is_note:
            return  # no note before it that could be tied
        onset, length, pitch, tied = self._notes[-1]
        if not tied:
            self._notes[-1] = (onset, length, pitch, True)
            self._is_late_tie = True
            self.pitch.tie_latest()

    def _read_tuplet(self, tuplet: Tuplet) -> None:
        self.rhythm.begin_tuplet(tuplet, self.metres[-1][1])

    def _read_quoted(self, quoted: Quoted) -> None:
        self.quoted.append((self.time, quoted.text))

    def _read_overlay(self, overlay: Overlay) -> None:
        self._overlaid_measures = overlay.measures

    _reader_of_kind: ClassVar[dict[type, Callable[..., None]]] = {
        Note: _read_note,
        AbcChord: _read_chord,
        Rest: _read_rest,
        MeasureRest: _read_measure_rest,
        Grace: _read_grace,
        Bar: _read_bar,
        Broken: _read_broken,
        Tuplet: _read_tuplet,
        Quoted: _read_quoted,
        LateTie: _read_late_tie,
        Overlay: _read_overlay,
    }
