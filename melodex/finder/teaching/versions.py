"""Which songs are versions of one tune: alike as a whole, each mostly known from the other."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import WholeSongs
from melodex.lessons.overlap import Overlap

# Of 235 pairs of bundled tunes that were judged to be versions, 158 meet both thresholds; of 118
# that only share a title, none does (tests/benchmarks/version_rules.py). With .5 instead of .7, 179
# would, but songs of the songbook that share two thirds of their licks would be one tune as well,
# and a plan would choose one of them instead of placing them side by side.
ALIKE = 0.2
KNOWN_OF_EACH = 0.7


class Version(NamedTuple):
    """Two songs that are versions of one tune, by their numbers in a material."""

    one: int
    other: int  # the greater number
    score: float
    transposition: int  # half-steps from one up to the other


def version_pairs(
    overlap: Overlap, songs: WholeSongs, numbers: NDArray[np.int64]
) -> Iterator[Version]:
    """Yield the pairs of songs whose whole melodies score more than ``ALIKE``.

    Whoever knows one must know more than ``KNOWN_OF_EACH`` of the other, both ways: a song that is
    one part of another is not a version of it.

    Parameters
    ----------
    overlap : Overlap
        What the songs teach each other.
    songs : WholeSongs
        All songs of the catalogue.
    numbers : shape (n_songs,)
        The numbers there of the songs of the overlap, ascending.
    """
    taught = overlap.taught_beats > KNOWN_OF_EACH * overlap.beats[:, np.newaxis]
    both = np.triu(taught & taught.T, 1)
    for one in np.flatnonzero(both.any(axis=1)).tolist():
        others = np.flatnonzero(both[one])
        found = most_alike(int(numbers[one]), songs, numbers[others], limit=None, above=ALIKE)
        places = np.searchsorted(numbers, found.songs)
        for other, score, shift in zip(
            places.tolist(), found.scores.tolist(), found.transpositions.tolist(), strict=True
        ):
            yield Version(one, other, score, shift)


def possible_versions(
    known: Iterable[int], others: Iterable[int], songs: WholeSongs
) -> frozenset[int]:
    """Return the songs that a chain of songs, each like the next, connects to known songs.

    No other song can be a version of a known one, so the passages of the rest need not be compared.

    Parameters
    ----------
    known, others : iterable of int
        Numbers of songs of the catalogue.
    songs : WholeSongs
        All of its songs.
    """
    queue, left = list(known), set(others)
    joined: set[int] = set()
    while queue and left:
        found = most_alike(queue.pop(), songs, np.array(sorted(left)), limit=None, above=ALIKE)
        alike = found.songs.tolist()
        queue += alike
        joined.update(alike)
        left.difference_update(alike)
    return frozenset(joined)


def tunes_of(songs: int, versions: Iterable[Version]) -> tuple[int, ...]:
    """Return for each song the first version of the same tune; versions of versions count."""
    tunes = np.arange(songs)
    for version in versions:
        first, last = sorted((int(tunes[version.one]), int(tunes[version.other])))
        tunes[tunes == last] = first
    return tuple(tunes.tolist())
