"""Licks that nobody played: the catalogue's own, with their intervals in another order."""

import numpy as np

from melodex.index.song_arrays import SongArrays
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE, Melody

MIDDLE_OF_MIDI = (LOWEST_MIDI_NOTE + HIGHEST_MIDI_NOTE) // 2


def cut_lick(songs: SongArrays, song: int, first: int, n_notes: int) -> Melody:
    """Cut a lick out of a song as played, with its rhythm and its place in the measure.

    Parameters
    ----------
    song, first : int
        The song's number, and the lick's first note in it.
    """
    begin = int(songs.first_notes[song]) + first
    notes = slice(begin, begin + n_notes)
    return Melody(
        pitches=songs.pitches[notes],
        onsets=songs.onsets[notes],
        durations=songs.durations[notes],
        measures=songs.measures[notes],
        beat_strengths=songs.beat_strengths[notes],
        strings=np.zeros(n_notes, np.int8),
        frets=np.full(n_notes, -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
    )


def permuted_lick(
    songs: SongArrays, n_notes: int, rng: np.random.Generator
) -> tuple[Melody, int] | None:
    """Cut a lick anywhere and shuffle its intervals; rhythm and metre stay where they are.

    Such a lick moves by the steps and leaps, and in the rhythms, that this catalogue is made of,
    in an order that means nothing.

    Returns
    -------
    (Melody, int) or None
        The lick and the number of the song it was cut from; None where every song is shorter.
    """
    sizes = np.diff(songs.first_notes)
    long_enough = np.flatnonzero(sizes >= n_notes)
    if not len(long_enough):
        return None
    song = int(rng.choice(long_enough))
    lick = cut_lick(songs, song, int(rng.integers(int(sizes[song]) - n_notes + 1)), n_notes)
    return with_shuffled_intervals(lick, rng), song


def with_shuffled_intervals(lick: Melody, rng: np.random.Generator) -> Melody:
    """Put a lick's intervals in another order, its rhythm left in place.

    Where they span more than MIDI has, notes beyond it are put on its ends.
    """
    intervals = np.diff(lick.pitches.astype(np.int64))
    rng.shuffle(intervals)
    line = np.insert(np.cumsum(intervals), 0, 0)
    line += MIDDLE_OF_MIDI - (line.min() + line.max()) // 2
    pitches = np.clip(line, LOWEST_MIDI_NOTE, HIGHEST_MIDI_NOTE).astype(np.int16)
    return Melody(
        pitches=pitches,
        onsets=lick.onsets,
        durations=lick.durations,
        measures=lick.measures,
        beat_strengths=lick.beat_strengths,
        strings=lick.strings,
        frets=lick.frets,
        phrase_ends=lick.phrase_ends,
    )
