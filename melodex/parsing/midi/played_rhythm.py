"""From notes as they were played to notes as they would be written."""

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.parsing.midi.beat_choice import Reading, read_beats
from melodex.parsing.midi.midi_events import PlayedNote
from melodex.parsing.midi.note_lengths import MORE_THAN_HALF, SHORTEST_REST, written_ends
from melodex.parsing.midi.tempo_map import TempoMap, Ticks
from melodex.parsing.written_score import WrittenNote

# The keys of a chord go down within 30 ms. Source: Goebl, "Melody lead in piano performance:
# expressive device or artifact?", JASA 110(1), 2001 (from memory).
CHORD_SECONDS = 0.03


class WrittenRhythm(NamedTuple):
    """The notes of a line as written."""

    notes: Sequence[WrittenNote]
    quarters_at: Callable[[Ticks], Beats]  # quarter notes up to ticks
    estimated_tempo: float | None  # quarter notes a minute; None where the file's holds
    remarks: Sequence[str]


def written_rhythm(notes: Sequence[PlayedNote], clock: TempoMap) -> WrittenRhythm:
    """Write down a line.

    Parameters
    ----------
    notes : sequence of PlayedNote, at least one
        By start.
    clock : TempoMap
        Of the file.
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
    tempo = round(60 / reading.seconds_a_quarter, 1) if reading.is_tracked else None
    remarks = [*_on_tempo(tempo), *_on_onsets(line, reading, tick)]
    remarks += [*_on_lengths(line, reading, lasting_to, tick), *_on_chords(chords)]
    return WrittenRhythm(written, reading.quarters_at, tempo, remarks)


class _Line(NamedTuple):
    """The highest notes of chords, as played; the arrays have shape (n_chords,)."""

    sizes: NDArray[np.int64]  # how many notes each chord has
    starts: Beats  # quarter notes
    ends: Beats

    @classmethod
    def of(cls, chords: Sequence[Sequence[PlayedNote]], reading: Reading) -> Self:
        ends = np.array([float(chord[-1].end) for chord in chords])
        sizes = np.array([len(chord) for chord in chords])
        return cls(sizes, reading.quarters_at(_starts(chords)), reading.quarters_at(ends))


def _chords(notes: Sequence[PlayedNote], clock: TempoMap, within: float) -> list[list[PlayedNote]]:
    """Gather notes that begin together, within some seconds, and sound on together.

    Each chord is ordered from its lowest note to its highest.
    """
    seconds = clock.seconds_of(np.array([float(note.start) for note in notes])).tolist()
    chords: list[list[PlayedNote]] = []
    begun = 0.0
    for note, start in zip(notes, seconds, strict=True):
        if chords and start - begun <= within and _sound_on(chords[-1], note):
            chords[-1].append(note)
        else:
            chords.append([note])
            begun = start
    return [sorted(chord, key=lambda note: note.pitch) for chord in chords]


def _sound_on(chord: Sequence[PlayedNote], note: PlayedNote) -> bool:
    """Whether a note sounds with all of a chord for longer than it came after it."""
    first = chord[0].start
    together = min(note.end, *(other.end for other in chord)) - note.start
    return together > note.start - first


def _starts(chords: Sequence[Sequence[PlayedNote]]) -> Ticks:
    return np.array([sum(note.start for note in chord) / len(chord) for chord in chords])


def _on_tempo(estimated: float | None) -> Iterator[str]:
    if estimated is not None:
        yield (
            "The notes do not keep to the tempo of the file; their beats were estimated from them, "
            f"at about {estimated:.0f} quarter notes a minute, and bar lines are counted from the "
            "first."
        )


def _on_onsets(line: _Line, reading: Reading, tick: float) -> Iterator[str]:
    errors = np.abs(line.starts - reading.rhythm.onsets)
    rounded = errors > tick * MORE_THAN_HALF
    if rounded.any():
        most = float(errors.max()) * reading.seconds_a_quarter * 1000
        yield (
            f"The onsets of {line.sizes[rounded].sum():,} of {line.sizes.sum():,} notes were "
            f"rounded, by up to {most:.0f} ms, to the simplest rhythm that fits them."
        )


def _on_lengths(line: _Line, reading: Reading, ends: Beats, tick: float) -> Iterator[str]:
    is_exact = reading.rhythm.noise <= tick
    late = int((ends[:-1] - line.ends[:-1] > (tick if is_exact else SHORTEST_REST / 2)).sum())
    if late:
        yield f"{late:,} notes end early as played; they are written as lasting longer."
    slack = tick if is_exact else SHORTEST_REST / 2
    overlapping = int((line.ends[:-1] - line.starts[1:] > slack).sum())
    if overlapping:
        yield (
            f"{overlapping:,} notes still sound when the next one begins; they are cut short there."
        )


def _on_chords(chords: Sequence[Sequence[PlayedNote]]) -> Iterator[str]:
    count = sum(len(chord) > 1 for chord in chords)
    if count:
        yield f"Of notes that begin together, {count:,} times, the highest is read as the melody."
