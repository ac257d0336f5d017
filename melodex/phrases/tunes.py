"""Find versions of one tune, so that the spread of a lick is counted in tunes."""

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import most_alike
from melodex.alignment.written_notes import whole_songs
from melodex.features.skeleton import Texture
from melodex.index.song_arrays import SongArrays
from melodex.phrases.lines import Lines

# Of 235 pairs of songs in the bundled collections judged to be versions of one tune, these values
# join 140; of 118 that only share a title, none (version_pairs.csv in tests/benchmarks/quality).
# Requiring half of the shorter song joins fewer; without a minimum, children's songs form one
# chain.
GRAM = 6  # steps
SHARED_GRAMS = 0.25  # of the shorter song's
FEWEST_GRAMS = 12  # or all, in a shorter song
NEIGHBOURS = 32  # other songs that each song with a common stretch is paired with
# For the melody inside a song in rolls: only songs that share most such stretches are compared.
ROLLED_GRAM = 4  # steps
MOST_COMPARED = 100
# Score of a whole song against an arrangement in rolls. The songbook's ten arrangements score at
# least .57 with their plain tunes, its other tabs at most .18 with any.
ROLLED_SCORE = 0.3


def tune_of_each_song(lines: Lines, songs: SongArrays) -> NDArray[np.int64]:
    """Return the tune of each song; versions of one tune have the same number.

    Two songs are versions if they share a quarter of the shorter one's stretches of six intervals,
    and at least twelve; a tab in rolls is a version of the song most similar to its melody, among
    those that share most stretches of four with it.

    Returns
    -------
    shape (n_songs,), int64
        The index of the tune's first version.
    """
    tunes = np.arange(songs.n_songs)
    for one, other in [*_alike_in_stretches(lines), *_rolled_versions(lines, songs)]:
        roots = sorted((_root(tunes, one), _root(tunes, other)))
        tunes[roots[1]] = roots[0]
    return np.array([_root(tunes, song) for song in range(len(tunes))], np.int64)


def _root(tunes: NDArray[np.int64], song: int) -> int:
    while tunes[song] != song:
        tunes[song] = tunes[tunes[song]]
        song = int(tunes[song])
    return song


def _alike_in_stretches(lines: Lines) -> list[tuple[int, int]]:
    song, gram = _grams(lines, np.ones(len(lines.intervals), np.bool_), GRAM)
    by_gram = np.argsort(gram, kind="stable")
    song, gram = song[by_gram], gram[by_gram]
    shared = [
        np.column_stack((song[:-apart], song[apart:]))[gram[apart:] == gram[:-apart]]
        for apart in range(1, min(NEIGHBOURS, len(gram) - 1) + 1)
    ]
    pairs, counts = np.unique(
        np.concatenate([np.empty((0, 2), np.int64), *shared]), axis=0, return_counts=True
    )
    shorter = np.bincount(song)[pairs].min(axis=1)
    needed = np.maximum(SHARED_GRAMS * shorter, np.minimum(FEWEST_GRAMS, shorter))
    alike = counts >= needed
    return [(one, other) for one, other in pairs[alike].tolist()]


def _grams(
    lines: Lines, kept: NDArray[np.bool_], size: int
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the distinct stretches of kept notes' intervals in each song: song and code.

    If notes were dropped before a line's first kept one, its interval is not reliable.
    """
    line, songs = lines.line_of_steps()[kept], lines.songs[kept]
    intervals = np.diff(np.cumsum(lines.intervals)[kept], prepend=0)
    n = max(len(line) - size + 1, 0)
    codes = np.zeros(n, np.int64)
    for place in range(size):
        codes = codes << 8 | intervals[place : n + place] & 0xFF
    within = line[:n] == line[len(line) - n :]
    distinct = np.unique(np.column_stack((songs[:n], codes))[within], axis=0)
    return distinct[:, 0], distinct[:, 1]


def _rolled_versions(lines: Lines, songs: SongArrays) -> list[tuple[int, int]]:
    """Pair each song in rolls with the most similar of those that share most with its melody."""
    is_rolled = songs.song_textures >= Texture.ROLLED
    song, gram = _grams(lines, ~lines.is_filler, ROLLED_GRAM)
    plain = ~is_rolled[song]
    plain_song, plain_gram = song[plain], gram[plain]
    whole = whole_songs(songs)
    versions: list[tuple[int, int]] = []
    for rolled in np.unique(song[~plain]).tolist():
        shared = np.bincount(plain_song[np.isin(plain_gram, gram[song == rolled])])
        likely = np.argsort(-shared, kind="stable")[:MOST_COMPARED]
        selected = np.sort(likely[shared[likely] > 0])
        found = most_alike(rolled, whole, selected, limit=1, above=ROLLED_SCORE)
        versions += [(rolled, int(other)) for other in found.songs]
    return versions
