"""The written time of a song: what each note occupies, measure by measure."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Measures
from melodex.features.as_played import SAME_ONSET
from melodex.model.song import Song


@dataclass(frozen=True, slots=True, eq=False)
class WrittenTime:
    """A song from its first note to the end of its last, in parts that do not cross bar lines.

    A part belongs to one note and one measure; a rest belongs to the note before it. Every array
    has shape (n_parts,), in order.
    """

    notes: NDArray[np.int64]  # index of the melody note
    measures: Measures  # as written
    positions: Beats  # start, in quarter notes from the bar line
    durations: Beats  # quarter notes, above 0

    def parts_of(self, notes: range) -> slice:
        """Return the parts that belong to a range of consecutive notes."""
        first, end = np.searchsorted(self.notes, [notes.start, notes.stop]).tolist()
        return slice(first, end)


def written_time(song: Song) -> WrittenTime:
    """Return the parts of a song's time, note by note.

    Examples
    --------
    A whole note that is tied over the bar line of 4/4 by a quarter has two parts, of four quarter
    notes and of one.
    """
    melody, bars = song.melody, song.measures.onsets
    if not len(melody):
        none = np.empty(0)
        return WrittenTime(none.astype(np.int64), none.astype(np.int32), none, none)
    start, end = melody.onsets[0], melody.onsets[-1] + melody.durations[-1]
    within = bars[(bars > start + SAME_ONSET) & (bars < end - SAME_ONSET)]
    points = np.sort(np.concatenate([melody.onsets, within, [end]]))
    durations = np.diff(points)
    begins, durations = points[:-1][durations > SAME_ONSET], durations[durations > SAME_ONSET]
    notes = np.searchsorted(melody.onsets, begins + SAME_ONSET, side="right") - 1
    measures = np.searchsorted(bars, begins + SAME_ONSET, side="right") - 1
    return WrittenTime(
        notes=notes,
        measures=song.measures.numbers[measures],
        positions=np.maximum(begins - bars[measures], 0.0),
        durations=durations,
    )
