"""The input for finding recurring licks: steps from note to note, each as written once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.features.skeleton import ONSET_GRID, Texture
from melodex.index.song_arrays import SongArrays

LONGEST_STEP = 8 * ONSET_GRID  # ticks; longer times to the next note count as this


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """Steps from each note to the next, line after line; a song has one or more lines.

    A new line starts where a repeat or an ending skips notes that were played before. Arrays have
    shape (n_steps,) unless stated otherwise.
    """

    first_steps: NDArray[np.int64]  # shape (n_lines + 1,), the start of each line
    songs: NDArray[np.int64]  # song indices
    notes: NDArray[np.int64]  # first note of each step, in the song arrays
    intervals: NDArray[np.int64]  # half-steps
    ticks: NDArray[np.int64]  # time to the next note, ONSET_GRID to a quarter note
    is_filler: NDArray[np.bool_]  # whether it leads to a filler note of a roll

    def line_of_steps(self) -> NDArray[np.int64]:
        """Return the line that each step belongs to."""
        return np.repeat(np.arange(len(self.first_steps) - 1), np.diff(self.first_steps))


def lines_of(songs: SongArrays, selected: NDArray[np.int64]) -> Lines:
    """Return the steps of songs; repeated ones only once.

    Parameters
    ----------
    selected : shape (n_selected,)
        Indices of the songs, ascending.
    """
    counts = np.diff(songs.first_notes)
    song_of_note = np.repeat(np.arange(len(counts)), counts)
    # A repeat jumps back to notes no later than the last one played so far.
    farthest = np.maximum.accumulate(song_of_note << 32 | songs.written)
    is_selected = np.zeros(len(counts), np.bool_)
    is_selected[selected] = True
    is_step = (np.diff(farthest, prepend=-1) > 0) & is_selected[song_of_note]
    begins = np.flatnonzero(is_step[:-1] & is_step[1:] & (np.diff(song_of_note) == 0))
    onsets, pitches = songs.onsets, songs.pitches.astype(np.int64)
    ticks = np.rint((onsets[begins + 1] - onsets[begins]) * ONSET_GRID).astype(np.int64)
    fills = (songs.song_textures >= Texture.ROLLED)[song_of_note] & ~songs.carries_melody
    is_first = np.diff(begins, prepend=-2) > 1
    is_first |= np.diff(song_of_note[begins], prepend=-1) != 0
    return Lines(
        first_steps=np.append(np.flatnonzero(is_first), len(begins)),
        songs=song_of_note[begins],
        notes=begins,
        intervals=pitches[begins + 1] - pitches[begins],
        ticks=np.minimum(ticks, LONGEST_STEP),
        is_filler=fills[begins + 1],
    )
