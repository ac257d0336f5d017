"""Which songs are versions of one tune, so that a lick's spread is counted in tunes."""

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike, whole_songs
from melodex.index.song_arrays import SongArrays
from melodex.phrases.lines import Lines

# Of 235 pairs of songs of the bundled collections that were judged to be versions of one tune these
# numbers join 140, of 118 that only share a title none (tests/benchmarks/version_pairs.csv). Half
# of the shorter song joins fewer; without a least number songs for children become one chain.
GRAM = 6  # steps
SHARED_GRAMS = 0.25  # of the shorter song's
FEWEST_GRAMS = 12  # or all, in a shorter song
NEIGHBOURS = 32  # of a stretch that many songs have, each is paired with so many others
# Of a whole song with an arrangement in rolls. The songbook's ten arrangements of its plain tunes
# join them so, its seven other tabs join none.
ROLLED_SCORE = 0.3


def tunes_of(lines: Lines, songs: SongArrays) -> NDArray[np.int64]:
    """Give every song the number of its tune; versions of one tune bear the same.

    Two songs are versions where they share a quarter of the shorter one's stretches of six
    intervals, and twelve of them or more; a tab in rolls is a version of the song that its
    skeleton is most like, of those with which it shares a stretch.

    Returns
    -------
    shape (n_songs,), int64
        The number of the tune's first version.
    """
    tunes = np.arange(len(songs.is_even))
    pairs, counts, shorter = _shared_stretches(lines)
    needed = np.maximum(SHARED_GRAMS * shorter, np.minimum(FEWEST_GRAMS, shorter))
    alike = pairs[counts >= needed].tolist()
    for one, other in [*alike, *_rolled_versions(pairs, songs)]:
        roots = sorted((_root(tunes, one), _root(tunes, other)))
        tunes[roots[1]] = roots[0]
    return np.array([_root(tunes, song) for song in range(len(tunes))], np.int64)


def _root(tunes: NDArray[np.int64], song: int) -> int:
    while tunes[song] != song:
        tunes[song] = tunes[tunes[song]]
        song = int(tunes[song])
    return song


def _shared_stretches(
    lines: Lines,
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Give pairs of songs, how many stretches they share, and how many the shorter one has."""
    song, gram = _grams(lines)
    by_gram = np.argsort(gram, kind="stable")
    song, gram = song[by_gram], gram[by_gram]
    shared = [
        np.column_stack((song[:-apart], song[apart:]))[gram[apart:] == gram[:-apart]]
        for apart in range(1, min(NEIGHBOURS, len(gram) - 1) + 1)
    ]
    pairs, counts = np.unique(
        np.concatenate([np.empty((0, 2), np.int64), *shared]), axis=0, return_counts=True
    )
    shorter: NDArray[np.int64] = np.bincount(song)[pairs].min(axis=1)
    return pairs, counts, shorter


def _grams(lines: Lines) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """List each song's different stretches of ``GRAM`` intervals: the song and a code."""
    line = lines.line_of_steps()
    n = max(len(line) - GRAM + 1, 0)
    codes = np.zeros(n, np.int64)
    for place in range(GRAM):
        codes = codes << 8 | lines.intervals[place : n + place] & 0xFF
    within = line[:n] == line[len(line) - n :]
    distinct = np.unique(np.column_stack((lines.songs[:n], codes))[within], axis=0)
    return distinct[:, 0], distinct[:, 1]


def _rolled_versions(pairs: NDArray[np.int64], songs: SongArrays) -> list[tuple[int, int]]:
    """Pair each song in rolls with the likest of the songs that it shares a stretch with."""
    is_rolled = songs.is_even & songs.is_rolled
    either_way = np.concatenate([pairs, pairs[:, ::-1]])
    mixed = either_way[is_rolled[either_way[:, 0]] & ~is_rolled[either_way[:, 1]]]
    whole = whole_songs(songs)
    versions: list[tuple[int, int]] = []
    for song in np.unique(mixed[:, 0]).tolist():
        asked = np.unique(mixed[mixed[:, 0] == song, 1])
        found = most_alike(song, whole, asked, limit=1, above=ROLLED_SCORE)
        versions += [(song, int(likest)) for likest in found.songs]
    return versions
