"""Convert performed notes to written notes."""

from collections.abc import Callable, Sequence
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.parsing.midi import reading_remarks
from melodex.parsing.midi.beat_choice import RhythmReading, read_beats
from melodex.parsing.midi.midi_events import PlayedNote
from melodex.parsing.midi.note_lengths import MORE_THAN_HALF, SHORTEST_REST, written_ends
from melodex.parsing.midi.tempo_map import TempoMap, Ticks
from melodex.parsing.written_score import WrittenNote

# The keys of a chord go down within 30 ms. Source: Goebl, "Melody lead in piano performance:
# expressive device or artifact?", JASA 110(1), 2001 (from memory).
CHORD_SECONDS = 0.03


class QuantisedRhythm(NamedTuple):
    """The notes of a line as they would be written."""

    notes: Sequence[WrittenNote]
    quarters_at: Callable[[Ticks], Beats]  # converts ticks to quarter notes
    estimated_tempo: float | None  # quarter notes a minute; None if the file's tempo applies
    remarks: Sequence[str]


def quantised_rhythm(notes: Sequence[PlayedNote], clock: TempoMap) -> QuantisedRhythm:
    """Return the written rhythm of a performed line.

    Parameters
    ----------
    notes : sequence of PlayedNote, at least one
        The notes, sorted by start.
    clock : TempoMap
        The file's tempo map.
    """
    tick = 1 / clock.ticks_a_quarter
    chords = _chords(notes, clock, 0.0)
    reading = read_beats(_starts(chords), clock)
    if reading.rhythm.noise > tick:
        played = _chords(notes, clock, CHORD_SECONDS)
        if len(played) < len(chords):
            chords, reading = played, read_beats(_starts(played), clock)
    line = _Line.of(chords, reading)
    lasting_to = written_ends(reading.rhythm, line.starts, line.ends, tick)
    onsets = reading.rhythm.onsets.tolist()
    written = [
        WrittenNote(onset, end - onset, note.pitch)
        for chord, onset, end in zip(chords, onsets, lasting_to.tolist(), strict=True)
        for note in chord
    ]
    return QuantisedRhythm(
        written,
        reading.quarters_at,
        round(60 / reading.seconds_a_quarter, 1) if reading.is_tracked else None,
        _remarks(line, reading, lasting_to, tick),
    )


class _Line(NamedTuple):
    """The highest notes of chords, as played; the arrays have shape (n_chords,)."""

    sizes: NDArray[np.int64]  # number of notes in each chord
    starts: Beats  # quarter notes
    ends: Beats

    @classmethod
    def of(cls, chords: Sequence[Sequence[PlayedNote]], reading: RhythmReading) -> Self:
        ends = np.array([float(chord[-1].end) for chord in chords])
        sizes = np.array([len(chord) for chord in chords])
        return cls(sizes, reading.quarters_at(_starts(chords)), reading.quarters_at(ends))


def _remarks(line: _Line, reading: RhythmReading, lasting_to: Beats, tick: float) -> list[str]:
    """Return remarks on what is written differently from how it was played."""
    errors = np.abs(line.starts - reading.rhythm.onsets)
    rounded = line.sizes[errors > tick * MORE_THAN_HALF].sum()
    most = float(errors.max()) * reading.seconds_a_quarter
    early = np.count_nonzero(lasting_to - line.ends > SHORTEST_REST / 2)
    overlapping = np.count_nonzero(line.ends[:-1] - line.starts[1:] > SHORTEST_REST / 2)
    return [
        *(reading_remarks.own_beats(60 / reading.seconds_a_quarter) if reading.is_tracked else ()),
        *reading_remarks.rounded_onsets(int(rounded), int(line.sizes.sum()), most),
        *reading_remarks.released_early(int(early)),
        *reading_remarks.held_too_long(int(overlapping)),
        *reading_remarks.chords(int(np.count_nonzero(line.sizes > 1))),
    ]


def _chords(notes: Sequence[PlayedNote], clock: TempoMap, within: float) -> list[list[PlayedNote]]:
    """Group notes that begin within some seconds of each other and overlap for longer than that.

    Each chord is sorted by pitch.
    """
    seconds = clock.seconds_of(np.array([float(note.start) for note in notes])).tolist()
    chords: list[list[PlayedNote]] = []
    begun, first, ends = 0.0, 0, 0  # of the latest chord; the last two in ticks
    for note, start in zip(notes, seconds, strict=True):
        sounds_on = min(note.end, ends) - note.start > note.start - first
        if chords and start - begun <= within and sounds_on:
            chords[-1].append(note)
            ends = min(ends, note.end)
        else:
            chords.append([note])
            begun, first, ends = start, note.start, note.end
    return [sorted(chord, key=lambda note: note.pitch) for chord in chords]


def _starts(chords: Sequence[Sequence[PlayedNote]]) -> Ticks:
    return np.array([sum(note.start for note in chord) / len(chord) for chord in chords])
