"""Random licks and songs: those of the catalogue, with their intervals shuffled."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from melodex._types import Pitches
from melodex.features.intervals import clipped_intervals
from melodex.index.song_arrays import SongArrays
from melodex.model.melody import HIGHEST_MIDI_NOTE, LOWEST_MIDI_NOTE, Melody

MIDDLE_OF_MIDI = (LOWEST_MIDI_NOTE + HIGHEST_MIDI_NOTE) // 2


def cut_lick(songs: SongArrays, song: int, first: int, n_notes: int) -> Melody:
    """Return a lick cut out of a song as played, with its rhythm and metric position.

    Parameters
    ----------
    song, first : int
        The song's index, and that of the lick's first note in it.
    """
    begin = int(songs.first_notes[song]) + first
    return _line_at(songs, np.arange(begin, begin + n_notes))


def written_line(songs: SongArrays, song: int) -> Melody:
    """Return a song's notes as written, each once, at its first playing."""
    notes = songs.notes_of(song)
    _, first = np.unique(songs.written[notes], return_index=True)
    return _line_at(songs, notes.start + np.sort(first))


def permuted_lick(
    songs: SongArrays, n_notes: int, rng: np.random.Generator
) -> tuple[Melody, int] | None:
    """Return a random stretch with shuffled intervals; rhythm and metre stay.

    Such a lick has the intervals and rhythms that are typical of this catalogue, in random order.

    Returns
    -------
    (Melody, int) or None
        The lick, and the index of its song; None if every song is shorter.
    """
    sizes = np.diff(songs.first_notes)
    long_enough = np.flatnonzero(sizes >= n_notes)
    if not len(long_enough):
        return None
    song = int(rng.choice(long_enough))
    lick = cut_lick(songs, song, int(rng.integers(int(sizes[song]) - n_notes + 1)), n_notes)
    return with_shuffled_intervals(lick, rng), song


def with_shuffled_intervals(lick: Melody, rng: np.random.Generator) -> Melody:
    """Return a lick with its intervals shuffled, and its rhythm unchanged.

    Notes beyond MIDI's range are clipped to it.
    """
    return replace(lick, pitches=_shuffled(lick.pitches, rng))


def shuffle_songs(
    songs: SongArrays, numbers: NDArray[np.int64], rng: np.random.Generator
) -> SongArrays:
    """Shuffle the written intervals of some songs; repeats stay the same.

    Parameters
    ----------
    numbers : shape (n_shuffled,)
    """
    pitches, intervals = songs.pitches.copy(), songs.intervals.copy()
    line_pitches = songs.line_pitches.copy()
    for song in numbers.tolist():
        notes = songs.notes_of(song)
        _, first, played = np.unique(songs.written[notes], return_index=True, return_inverse=True)
        line_pitches[notes] = pitches[notes] = _shuffled(pitches[notes][first], rng)[played]
        stretch = slice(songs.first_intervals[song], songs.first_intervals[song + 1])
        intervals[stretch] = clipped_intervals(pitches[notes])
    return replace(songs, pitches=pitches, line_pitches=line_pitches, intervals=intervals)


def _shuffled(pitches: Pitches, rng: np.random.Generator) -> Pitches:
    intervals = np.diff(pitches.astype(np.int64))
    rng.shuffle(intervals)
    line = np.insert(np.cumsum(intervals), 0, 0)
    line += MIDDLE_OF_MIDI - (line.min() + line.max()) // 2
    return np.clip(line, LOWEST_MIDI_NOTE, HIGHEST_MIDI_NOTE).astype(np.int16)


def _line_at(songs: SongArrays, notes: NDArray[np.int64]) -> Melody:
    """Return a melody of some notes; strings are not in the arrays, so they are unknown."""
    return Melody(
        pitches=songs.pitches[notes],
        onsets=songs.onsets[notes],
        durations=songs.durations[notes],
        measures=songs.measures[notes],
        beat_strengths=songs.beat_strengths[notes],
        strings=np.zeros(len(notes), np.int8),
        frets=np.full(len(notes), -1, np.int8),
        phrase_ends=np.empty(0, np.int32),
    )
