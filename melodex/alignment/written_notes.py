"""Every song's notes as written, each once, for comparing whole songs; keys are ignored."""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import Kinds, LickNotes
from melodex.features.note_kinds import NoteKinds, note_kinds
from melodex.features.scale_classes import unknown_scale
from melodex.index.blocks import Blocks
from melodex.index.kept_arrays import kept_arrays
from melodex.index.song_arrays import SongArrays
from melodex.kernels.table_sums import sums_by_song

WHOLE_SONGS_FILE = "whole_songs.bin"
GRAM, GRAM_BITS = 3, 5  # intervals in a stretch, bits for each: half-steps clipped to +-15


@dataclass(frozen=True, slots=True, eq=False)
class WholeSongs:
    """Every note of every song once, one song after the other."""

    first_notes: NDArray[np.int64]  # shape (n_songs + 1,), where each song begins
    pitches: NDArray[np.int16]
    line_pitches: NDArray[np.int16]  # as ``pitches``, but of a pinch the thumb's note
    durations: NDArray[np.float64]
    note_kinds: NDArray[np.uint16]
    joined_kinds: NDArray[np.uint16]
    kinds: Kinds
    textures: NDArray[np.int8]  # shape (n_songs,)
    grams: NDArray[np.int32]  # the ``GRAM`` intervals from each note on, packed into a number

    @property
    def sizes(self) -> NDArray[np.int64]:
        """How many notes each song has; shape (n_songs,)."""
        return np.diff(self.first_notes)

    def scores_of_themselves(self) -> NDArray[np.float64]:
        """Return the score of each song with itself, in nats; shape (n_songs,)."""
        of_kinds = learned_tables().of_notes(self.kinds.strengths)
        return sums_by_song(self.first_notes, self.note_kinds, of_kinds)

    def pitches_in(self, *, rolls: bool) -> NDArray[np.int16]:
        """Return all notes' pitches: of a pinch the thumb's inside rolls, else the highest."""
        return self.line_pitches if rolls else self.pitches

    def shared_grams(self, song: int) -> NDArray[np.float64]:
        """Return the share of each song's grams that one song has too; shape (n_songs,)."""
        of_song = np.zeros(1 << GRAM * GRAM_BITS)
        of_song[self.grams[self.first_notes[song] : self.first_notes[song + 1]]] = 1
        counts = sums_by_song(self.first_notes, self.grams, of_song)
        shares: NDArray[np.float64] = counts / np.maximum(self.sizes, 1)
        return shares

    def line_of(self, song: int, *, in_rolls: bool = False) -> LickNotes:
        """Return one song's notes, with strengths and scale from their kinds."""
        notes = slice(self.first_notes[song], self.first_notes[song + 1])
        kinds = self.note_kinds[notes]
        return LickNotes(
            self.pitches_in(rolls=in_rolls)[notes],
            self.kinds.strengths[kinds].astype(np.float64),
            self.durations[notes],
            self.kinds.carries_melody[kinds],
            self.kinds.scale[kinds],
        )


def kept_whole_songs(blocks: Blocks) -> WholeSongs:
    """Return a catalogue's songs as written, memory-mapped if they can be kept."""
    arrays = dict(kept_arrays(blocks, WHOLE_SONGS_FILE, lambda: _flat(whole_songs(blocks.songs))))
    kinds = Kinds(**{name: arrays.pop(name) for name in Kinds._fields})
    return WholeSongs(kinds=kinds, **arrays)


def _flat(whole: WholeSongs) -> dict[str, NDArray[Any]]:
    arrays: dict[str, Any] = {field.name: getattr(whole, field.name) for field in fields(whole)}
    arrays |= arrays.pop("kinds")._asdict()
    return arrays


def whole_songs(songs: SongArrays) -> WholeSongs:
    """Return every note of every song once, when it is first played; the arrays are read-only."""
    song_of_note = np.repeat(np.arange(songs.n_songs), np.diff(songs.first_notes))
    # A repeat jumps back to notes at or before the last one played so far.
    farthest = np.maximum.accumulate(song_of_note << 32 | songs.written)
    is_new = np.diff(farthest, prepend=-1) > 0
    indices = np.flatnonzero(is_new)
    seams, joined = _kinds_at_seams(songs, indices)
    joined_kinds = songs.joined_kinds[indices]
    joined_kinds[seams] = len(songs.kind_strengths) + joined.kinds
    counts = np.bincount(song_of_note[is_new], minlength=songs.n_songs)
    whole = WholeSongs(
        first_notes=np.cumsum([0, *counts], dtype=np.int64),
        pitches=songs.pitches[indices],
        line_pitches=songs.line_pitches[indices],
        durations=songs.durations[indices],
        note_kinds=songs.kinds[indices],
        joined_kinds=joined_kinds,
        kinds=Kinds(
            np.concatenate([songs.kind_strengths, joined.strengths]),
            np.concatenate([songs.kind_log_durations, joined.log_durations]),
            np.concatenate([songs.kind_carries_melody, joined.carries_melody]),
            unknown_scale(len(songs.kind_scale) + len(joined.scale)),
        ),
        textures=songs.song_textures.copy(),
        grams=_grams(songs.pitches[indices]),
    )
    for field in fields(whole):  # read-only like mapped arrays, for which kernels are compiled
        array = getattr(whole, field.name)
        if isinstance(array, np.ndarray):
            array.flags.writeable = False
    return whole


def _kinds_at_seams(
    songs: SongArrays, indices: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NoteKinds]:
    """Join each note to the one before as written, where another was played before it.

    Returns
    -------
    seams : shape (n_seams,)
        Positions in ``indices``.
    joined : NoteKinds
        Of n_seams notes.
    """
    seams = np.flatnonzero(np.diff(indices, prepend=-1) > 1)
    before = indices[seams - 1]
    durations = songs.durations[before] + songs.durations[indices[seams]]
    fills = np.zeros(len(seams), np.bool_)  # joined notes carry no melody, as in note_kinds
    scale = unknown_scale(len(seams))
    return seams, note_kinds(songs.beat_strengths[before], durations, fills, scale)


def _grams(pitches: NDArray[np.int16]) -> NDArray[np.int32]:
    largest = (1 << GRAM_BITS - 1) - 1
    steps = np.clip(np.diff(pitches, append=pitches[-1:]), -largest, largest).astype(np.int32)
    grams = np.zeros(len(pitches), np.int32)
    for offset in range(min(GRAM, len(steps))):
        grams[: len(steps) - offset] += (steps[offset:] + largest) << GRAM_BITS * offset
    return grams
