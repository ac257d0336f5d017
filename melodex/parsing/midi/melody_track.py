"""Choose which line of a MIDI file is the melody."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.parsing.midi.midi_events import MidiTrack, PlayedNote
from melodex.parsing.part_choice import is_named_for_the_tune

_DRUMS = 9  # the channel of percussion, counted from 0. Source: General MIDI 1 (from memory)
# The highest line weighs three times as much as the lowest. Measured on the three pieces with a
# melody on top among the files in music21's corpus: at twice as much, a cello or a left hand is
# chosen.
_WEIGHT_OF_HEIGHT = 2.0


@dataclass(frozen=True, slots=True)
class MidiLine:
    """The notes of one channel of one track."""

    track: int  # counted from 1 among the tracks with notes
    channel: int  # counted from 1
    name: str  # the name of the track
    notes: Sequence[PlayedNote]  # sorted by start, then by pitch

    @property
    def is_percussion(self) -> bool:
        """Whether its notes are drums rather than pitches."""
        return self.channel == _DRUMS + 1


def midi_lines(tracks: Iterable[MidiTrack]) -> list[MidiLine]:
    """List the lines of all tracks that have notes."""
    lines: list[MidiLine] = []
    sounding = [track for track in tracks if track.notes]
    for number, track in enumerate(sounding, start=1):
        notes = sorted(track.notes, key=lambda note: (note.start, note.pitch))
        for channel in sorted({note.channel for note in notes}):
            own = [note for note in notes if note.channel == channel]
            lines.append(MidiLine(number, channel + 1, track.name, own))
    return lines


def melody_of(lines: Sequence[MidiLine]) -> MidiLine:
    """Return the line to read: one named as the melody, else the most melodic one.

    A line is more melodic the larger the share of its time in which a single note sounds, the
    larger the share of the music in which it sounds, and the higher it is among the lines; the
    three are multiplied. The first of equal lines is chosen.

    Parameters
    ----------
    lines : sequence of MidiLine, at least one
        Lines without percussion.

    Source
    ------
    Rizo et al., "A pattern recognition approach for melody track selection in MIDI files", ISMIR
    2006: occupation rate, polyphony rate and pitch are among the features that separate melodies
    from accompaniment. Multiplying them is common practice, no source.
    """
    start = min(note.start for line in lines for note in line.notes)
    end = max(note.end for line in lines for note in line.notes)
    heights = [float(np.mean([note.pitch for note in line.notes])) for line in lines]
    lowest, highest = min(heights), max(heights)

    def melodic(place: int) -> tuple[bool, float]:
        single, sounding = _shares(lines[place].notes, end - start)
        height = (heights[place] - lowest) / ((highest - lowest) or 1.0)
        is_named = is_named_for_the_tune(lines[place].name)
        return is_named, single * sounding * (1 + _WEIGHT_OF_HEIGHT * height)

    return lines[max(range(len(lines)), key=melodic)]


def _shares(notes: Sequence[PlayedNote], length: int) -> tuple[float, float]:
    """Return the share of a line's time with a single note, and of the music in which it sounds."""
    moments: NDArray[np.int64] = np.array([(note.start, note.end) for note in notes]).ravel()
    changes = np.tile([1, -1], len(notes))
    order = np.argsort(moments, kind="stable")
    counts = np.cumsum(changes[order])[:-1]
    spans = np.diff(moments[order])
    sounding = float(spans[counts > 0].sum())
    return float(spans[counts == 1].sum()) / sounding, sounding / length
