"""All songs' notes as played, concatenated for the kernels."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Measures, NoteNumbers, Pitches, Strengths
from melodex.features.as_played import played_notes, played_onsets
from melodex.features.intervals import clipped_intervals
from melodex.features.note_kinds import note_kinds
from melodex.features.scale_classes import scale_classes
from melodex.features.skeleton import Texture, carries_melody, line_pitches, texture_of
from melodex.model.key import Key
from melodex.model.melody import Melody

UNKNOWN_TONIC = -1
_Number = TypeVar("_Number", np.bool_, np.int8, np.int16, np.int32, np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class SongArrays:
    """Every song's notes as played, concatenated; songs are numbered in the order of their ids."""

    first_notes: NDArray[np.int64]  # shape (n_songs + 1,), the start of each song
    pitches: Pitches
    onsets: Beats  # quarter notes from the start of the performance
    durations: Beats
    beat_strengths: Strengths
    written: NoteNumbers  # index of the note in the melody as written
    measures: Measures
    line_pitches: Pitches  # like ``pitches``, but in a pinch the thumb's note
    carries_melody: NDArray[np.bool_]  # see features/skeleton.py
    kinds: NDArray[np.uint16]  # see features/note_kinds.py
    joined_kinds: NDArray[np.uint16]  # of each note merged with the one before
    kind_strengths: NDArray[np.float32]  # shape (n_kinds,)
    kind_log_durations: NDArray[np.float32]
    kind_carries_melody: NDArray[np.bool_]
    kind_scale: NDArray[np.int8]  # see features/scale_classes.py
    song_textures: NDArray[np.int8]  # shape (n_songs,), values of ``Texture``
    song_tonics: NDArray[np.int8]  # shape (n_songs,), pitch classes; -1 if unknown
    first_intervals: NDArray[np.int64]  # shape (n_songs + 1,)
    intervals: NDArray[np.int8]  # half-steps, clipped to +-LARGEST_INTERVAL

    @property
    def n_songs(self) -> int:
        """The number of songs, including those without notes."""
        return len(self.song_textures)

    def notes_of(self, song: int) -> slice:
        """Return the slice of one song in the note arrays."""
        return slice(int(self.first_notes[song]), int(self.first_notes[song + 1]))

    def intervals_of(self, song: int) -> NDArray[np.int32]:
        """Return one song's clipped intervals in the kernels' type."""
        stretch = slice(self.first_intervals[song], self.first_intervals[song + 1])
        return self.intervals[stretch].astype(np.int32)


class Performance(NamedTuple):
    """One song's notes in the order played; the fields are those of ``SongArrays``, mostly."""

    pitches: Pitches
    onsets: Beats
    durations: Beats
    beat_strengths: Strengths
    written: NoteNumbers
    measures: Measures
    line_pitches: Pitches
    carries_melody: NDArray[np.bool_]
    scale: NDArray[np.int8]  # for the kinds
    texture: Texture
    tonic: int
    intervals: NDArray[np.int8]


def perform(melody: Melody, sections: Beats, key: Key | None = None) -> Performance:
    """Return a melody as played with its repeats and endings; ``key`` is the stated one."""
    played = played_notes(melody.onsets, sections)
    pitches = melody.pitches[played]
    onsets = played_onsets(melody.onsets, sections)
    tonic = key.tonic_pitch_class if key else None
    return Performance(
        pitches=pitches,
        onsets=onsets,
        durations=melody.durations[played],
        beat_strengths=melody.beat_strengths[played],
        written=played,
        measures=melody.measures[played],
        line_pitches=line_pitches(melody)[played],
        carries_melody=carries_melody(melody.beat_strengths, melody.strings)[played],
        scale=scale_classes(pitches, key),
        texture=texture_of(melody, onsets),
        tonic=UNKNOWN_TONIC if tonic is None else tonic,
        intervals=clipped_intervals(pitches).astype(np.int8),
    )


def join_performances(songs: Sequence[Performance]) -> SongArrays:
    """Concatenate songs in the order given."""
    strengths = _joined([song.beat_strengths for song in songs], np.float64)
    durations = _joined([song.durations for song in songs], np.float64)
    carries = _joined([song.carries_melody for song in songs], np.bool_)
    scale = _joined([song.scale for song in songs], np.int8)
    kinds = note_kinds(strengths, durations, carries, scale)
    return SongArrays(
        first_notes=_beginnings([len(song.pitches) for song in songs]),
        pitches=_joined([song.pitches for song in songs], np.int16),
        onsets=_joined([song.onsets for song in songs], np.float64),
        durations=durations,
        beat_strengths=strengths,
        written=_joined([song.written for song in songs], np.int32),
        measures=_joined([song.measures for song in songs], np.int32),
        line_pitches=_joined([song.line_pitches for song in songs], np.int16),
        carries_melody=carries,
        kinds=kinds.kinds,
        joined_kinds=kinds.joined_kinds,
        kind_strengths=kinds.strengths,
        kind_log_durations=kinds.log_durations,
        kind_carries_melody=kinds.carries_melody,
        kind_scale=kinds.scale,
        song_textures=np.array([song.texture for song in songs], np.int8),
        song_tonics=np.array([song.tonic for song in songs], np.int8),
        first_intervals=_beginnings([len(song.intervals) for song in songs]),
        intervals=_joined([song.intervals for song in songs], np.int8),
    )


def _beginnings(lengths: Sequence[int]) -> NDArray[np.int64]:
    return np.cumsum([0, *lengths], dtype=np.int64)


def _joined(arrays: Sequence[NDArray[_Number]], kind: type[_Number]) -> NDArray[_Number]:
    return np.concatenate([np.empty(0, kind), *arrays])
