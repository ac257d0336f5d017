"""Convert matched notes to places of a lick in a song: measures as written."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.passage import Passage
from melodex.features.as_played import entered
from melodex.index.song_arrays import SongArrays


@dataclass(frozen=True, slots=True)
class Place:
    """A stretch of a song that matches a lick."""

    measures: tuple[int, ...]  # as written, in the order played, without immediate repetitions
    transposition: int  # half-steps from the lick to the song; up is positive
    form: str
    alignment: tuple[tuple[int, int], ...]  # (note of the lick, note of the song as written)
    note_runs: tuple[tuple[int, int], ...]  # first and last note as written; two at a repeat


def written_places(songs: SongArrays, song: int, passages: list[Passage]) -> list[Place]:
    """Return passages as places in the written song, each once however often it is repeated.

    Parameters
    ----------
    song : int
        The song's index in the arrays.
    passages : list of Passage
        In the order played.
    """
    return list(dict.fromkeys(_place_of(songs, song, passage) for passage in passages))


def _place_of(songs: SongArrays, song: int, passage: Passage) -> Place:
    notes = songs.notes_of(song)
    first, last = int(passage.pairs[0, 1]), int(passage.pairs[-1, 1])
    measures = songs.measures[notes][first : last + 1]
    written = songs.written[notes]
    return Place(
        measures=entered(measures),
        transposition=passage.transposition,
        form=str(passage.form),
        alignment=tuple(
            zip(passage.pairs[:, 0].tolist(), written[passage.pairs[:, 1]].tolist(), strict=True)
        ),
        note_runs=_runs(written[first : last + 1]),
    )


def _runs(notes: NDArray[np.int32]) -> tuple[tuple[int, int], ...]:
    """Split notes where a repeat or an ending jumps."""
    parts = np.split(notes, np.flatnonzero(np.diff(notes) != 1) + 1)
    return tuple((int(part[0]), int(part[-1])) for part in parts)
