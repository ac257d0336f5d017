"""One song against others, whole against whole: how much alike they are, and in which key.

Songs are compared as written: a repeat that one book writes out and another marks is a gap either
way, and what is played twice does not count twice.
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.index.song_arrays import SongArrays
from melodex.kernels import whole_song as kernel

THREADS = 2  # the kernel runs without the GIL
SONGS_AT_ONCE = 256  # scanned before the least score worth looking for is set anew


@dataclass(frozen=True, slots=True, eq=False)
class WrittenSongs:
    """Every song's notes as written, one song after the other."""

    first_notes: NDArray[np.int64]  # shape (n_songs + 1,), where each song begins
    lines: kernel.Line

    def line_of(self, song: int) -> kernel.Line:
        """Give one song's notes."""
        stretch = slice(self.first_notes[song], self.first_notes[song + 1])
        return kernel.Line(self.lines.pitches[stretch], self.lines.strengths[stretch])


@dataclass(frozen=True, slots=True, eq=False)
class WholeSongScores:
    """How much alike one song and others are; every array has shape (n_songs,), best first."""

    songs: NDArray[np.int64]
    scores: NDArray[np.float32]  # 1 for the same song in any key; below 0 for most pairs
    transpositions: NDArray[np.int32]  # half-steps up to the other song


def written_songs(songs: SongArrays) -> WrittenSongs:
    """Take every note of every song once, when it is first played."""
    song_of_note = np.repeat(np.arange(len(songs.first_notes) - 1), np.diff(songs.first_notes))
    # A repeat jumps back to notes that are not beyond the last one played so far.
    farthest = np.maximum.accumulate(song_of_note << 32 | songs.written)
    notes = np.flatnonzero(np.diff(farthest, prepend=-1))
    counts = np.bincount(song_of_note[notes], minlength=len(songs.first_notes) - 1)
    return WrittenSongs(
        first_notes=np.cumsum([0, *counts], dtype=np.int64),
        lines=kernel.Line(
            songs.pitches[notes].astype(np.int32), songs.beat_strengths[notes].astype(np.float32)
        ),
    )


def most_alike(
    own: kernel.Line,
    songs: WrittenSongs,
    asked: NDArray[np.int64],
    *,
    limit: int | None,
    settings: AlignmentSettings = DEFAULT_SETTINGS,
) -> WholeSongScores:
    """Find the songs most like one, at every transposition; ties by song number.

    Exact: songs and transpositions are left out only where their pitches alone, in any order,
    could not bring them among the best.

    Parameters
    ----------
    own : Line
        One note or more.
    asked : shape (n_asked,)
        Numbers of songs that have a note at least.
    limit : int or None
        How many songs at most; None for all.
    """
    rules = _rules(settings)
    wanted = len(asked) if limit is None else min(limit, len(asked))
    bounds = np.empty(len(asked), np.float32)
    kernel.upper_bounds(songs.lines, songs.first_notes, asked, own, rules, bounds)
    hopeful = np.argsort(-bounds, kind="stable")
    scores = np.full(len(asked), kernel.NO_SCORE, np.float32)
    transpositions = np.zeros(len(asked), np.int32)
    floor = kernel.NO_SCORE

    def scan(places: NDArray[np.int64]) -> None:
        found = np.empty(len(places), np.float32)
        shifts = np.empty(len(places), np.int32)
        kernel.scan_songs(
            songs.lines, songs.first_notes, asked[places], own, rules, floor, found, shifts
        )
        scores[places], transpositions[places] = found, shifts

    with ThreadPoolExecutor(THREADS) as threads:
        for begin in range(0, len(hopeful), SONGS_AT_ONCE):
            places = hopeful[begin : begin + SONGS_AT_ONCE]
            if bounds[places[0]] < floor:
                break
            list(threads.map(scan, np.array_split(places, THREADS)))
            if wanted <= begin + len(places):
                floor = np.partition(scores, -wanted)[-wanted]
    best = np.lexsort((asked, -scores))[:wanted]
    return WholeSongScores(asked[best], scores[best], transpositions[best])


def _rules(settings: AlignmentSettings) -> kernel.WholeRules:
    similarity = np.zeros(2 * kernel.REACH + 1, np.float32)
    for distance, worth in settings.pitch_similarity.items():
        similarity[kernel.REACH + distance] = similarity[kernel.REACH - distance] = worth
    return kernel.WholeRules(
        similarity=similarity,
        beat_weight=np.float32(settings.whole_beat_weight),
        gap_open=np.float32(settings.whole_gap_open),
        gap_extend=np.float32(settings.whole_gap_extend),
    )
