"""What songs teach each other, cut into pieces that the same songs teach; in whole numbers."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.features.skeleton import ONSET_GRID
from melodex.lessons.knowledge import END, FIRST, SONG, SOURCE, Known, repeated_parts
from melodex.model.results.material import Material

WHOLE_SONG = 10_000  # shares are counted in parts of it: finer than any teacher reads

WORD = 64  # songs in a word of a bit set


class Atoms(NamedTuple):
    """The pieces of n songs that are not known before; an atom is known once one teacher was met.

    An atom is all of a song's time that exactly the same other songs teach.
    """

    starts: NDArray[np.int32]  # shape (n + 1,): where each song's atoms begin
    teachers: NDArray[np.uint64]  # shape (n_atoms, words): the songs that teach it, a bit each
    shares: NDArray[np.int32]  # shape (n_atoms,): its part of its song's time, WHOLE_SONG is all
    new: NDArray[np.int32]  # shape (n_atoms,): what is to learn of it, in ticks
    known_shares: NDArray[np.int32]  # shape (n,): what is known before the first lesson
    own_new: NDArray[np.int32]  # shape (n,): ticks to learn that no other song teaches
    from_last: NDArray[np.int32]  # shape (n, n): the share of the second that the first teaches


def atoms_of(material: Material, pool: Sequence[int], known: Known) -> Atoms:
    """Cut the songs of a pool into atoms; songs count by their place in the pool.

    Parameters
    ----------
    known : shape (n_parts,)
        What is known before the first lesson.
    """
    songs = len(pool)
    teachers: list[NDArray[np.uint64]] = [np.empty((0, -(-songs // WORD)), np.uint64)]
    shares: list[NDArray[np.int32]] = [np.empty(0, np.int32)]
    new: list[NDArray[np.int32]] = [np.empty(0, np.int32)]
    known_shares, own_new = np.zeros(songs, np.int32), np.zeros(songs, np.int32)
    from_last = np.zeros((songs, songs), np.int32)
    for place, song in enumerate(pool):
        parts = material.parts_of(song)
        in_parts, is_known = in_parts_of_song(material, song), known[parts]
        to_learn = np.rint(material.durations[parts] * ONSET_GRID) * ~repeated_parts(material, song)
        taught = taught_parts(material, song, pool)
        sets, atom_of = np.unique(taught[:, ~is_known].T, axis=0, return_inverse=True)
        in_atoms = np.bincount(atom_of.ravel(), in_parts[~is_known], len(sets)).astype(np.int32)
        ticks = np.bincount(atom_of.ravel(), to_learn[~is_known], len(sets)).astype(np.int32)
        has_teacher = sets.any(axis=1)
        teachers.append(bit_sets(sets[has_teacher]))
        shares.append(in_atoms[has_teacher])
        new.append(ticks[has_teacher])
        known_shares[place] = in_parts[is_known].sum()
        own_new[place] = ticks[~has_teacher].sum()
        from_last[:, place] = taught @ in_parts
    return Atoms(
        starts=np.cumsum([0, *(len(each) for each in shares[1:])], dtype=np.int32),
        teachers=np.concatenate(teachers),
        shares=np.concatenate(shares),
        new=np.concatenate(new),
        known_shares=known_shares,
        own_new=own_new,
        from_last=from_last,
    )


def taught_parts(material: Material, song: int, pool: Sequence[int]) -> NDArray[np.bool_]:
    """Return which parts of a song the songs of a pool teach.

    Returns
    -------
    shape (n_pool, n_parts of the song)
        No song teaches itself.
    """
    parts = material.parts_of(song)
    taught = np.zeros((parts.stop - parts.start, len(pool)), np.bool_)
    place_of = {other: place for place, other in enumerate(pool) if other != song}
    for row in material.passages[material.passages[:, SONG] == song].tolist():
        if row[SOURCE] in place_of:
            taught[row[FIRST] : row[END], place_of[row[SOURCE]]] = True
    of_first = np.zeros_like(taught)
    np.logical_or.at(of_first, material.equal_to[parts], taught)
    return of_first[material.equal_to[parts]].T


def bit_sets(sets: NDArray[np.bool_]) -> NDArray[np.uint64]:
    """Pack rows of truth values into words, the first value in the lowest bit."""
    padded = np.zeros((len(sets), -(-sets.shape[1] // WORD) * WORD), np.bool_)
    padded[:, : sets.shape[1]] = sets
    return np.packbits(padded, axis=1, bitorder="little").view("<u8").astype(np.uint64)


def in_parts_of_song(material: Material, song: int) -> NDArray[np.int64]:
    """Return the share of each part of a song in its time; together they are ``WHOLE_SONG``.

    Returns
    -------
    shape (n_parts of the song,), int64
        Whole numbers, so that sums of them agree however they are grouped.
    """
    passed = np.cumsum(material.durations[material.parts_of(song)])
    if not len(passed):
        return np.empty(0, np.int64)
    in_whole_numbers = np.rint(passed * (WHOLE_SONG / passed[-1])).astype(np.int64)
    shares: NDArray[np.int64] = np.diff(in_whole_numbers, prepend=np.int64(0))
    return shares
