"""Which of the lines of a MIDI file is the tune."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.parsing.midi.midi_events import MidiTrack, PlayedNote
from melodex.parsing.part_choice import is_named_for_the_tune

_DRUMS = 9  # the channel of percussion, counted from 0. Source: General MIDI 1 (from memory)
# The highest line counts three times as much as the lowest. Measured on the three pieces with a
# melody on top among the files that music21 carries: with twice as much a cello or left hand wins.
_WEIGHT_OF_HEIGHT = 2.0


@dataclass(frozen=True, slots=True)
class MidiLine:
    """The notes of one channel of one track."""

    track: int  # counted from 1 among the tracks with notes
    channel: int  # counted from 1
    name: str  # what the track is called
    notes: Sequence[PlayedNote]  # by start, then from the lowest to the highest

    @property
    def is_percussion(self) -> bool:
        """Whether its notes are drums rather than pitches."""
        return self.channel == _DRUMS + 1


def lines_of(tracks: Iterable[MidiTrack]) -> list[MidiLine]:
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
    """Choose the line to read: one that is named for the tune, else the most melodic one.

    A line is the more melodic the more of its time it has a single note, the more of the music it
    sounds in, and the higher it lies among the lines; the three are multiplied. Of equal lines the
    first is chosen.

    Parameters
    ----------
    lines : sequence of MidiLine, at least one
        None of them percussion.

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
    """Return how much of its time a line has a single note, and how much of the music it sounds."""
    moments: NDArray[np.int64] = np.array([(note.start, note.end) for note in notes]).ravel()
    changes = np.tile([1, -1], len(notes))
    order = np.argsort(moments, kind="stable")
    counts = np.cumsum(changes[order])[:-1]
    spans = np.diff(moments[order])
    sounding = float(spans[counts > 0].sum())
    return float(spans[counts == 1].sum()) / sounding, sounding / length
