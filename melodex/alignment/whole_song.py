"""One song against others, whole against whole: how much alike they are, and in which key.

Songs are compared as written: a repeat that one book writes out and another marks is a gap either
way, and what is played twice does not count twice. Of a song that runs on in one note value, as
rolls do, the notes that carry the melody are compared as well, and the better answer counts.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.settings import DEFAULT_SETTINGS, AlignmentSettings
from melodex.index.song_arrays import SongArrays
from melodex.kernels import whole_song as kernel

THREADS = 2  # the kernel runs without the GIL
SONGS_AT_ONCE = 256  # scanned before the least score worth looking for is set anew


@dataclass(frozen=True, slots=True, eq=False)
class SongLines:
    """A line of notes for each song, one song after the other; empty for some."""

    first_notes: NDArray[np.int64]  # shape (n_songs + 1,), where each song begins
    notes: kernel.Line

    def line_of(self, song: int) -> kernel.Line:
        """Give one song's notes."""
        stretch = slice(self.first_notes[song], self.first_notes[song + 1])
        return kernel.Line(self.notes.pitches[stretch], self.notes.strengths[stretch])


@dataclass(frozen=True, slots=True, eq=False)
class WholeSongs:
    """What is compared of every song."""

    written: SongLines
    skeletons: SongLines  # of even songs, see features/skeleton.py
    is_rolled: NDArray[np.bool_]  # shape (n_songs,)


@dataclass(frozen=True, slots=True, eq=False)
class WholeSongScores:
    """How much alike one song and others are; every array has shape (n_songs,), best first."""

    songs: NDArray[np.int64]
    scores: NDArray[np.float32]  # 1 for the same song in any key; below 0 for most pairs
    transpositions: NDArray[np.int32]  # half-steps up to the other song


class _Question(NamedTuple):
    """One way to compare a song with others."""

    own: kernel.Line
    others: SongLines
    worth: NDArray[np.float32]  # shape (n_songs,), the score counts for this share


def whole_songs(songs: SongArrays) -> WholeSongs:
    """Take every note of every song once, when it is first played."""
    song_of_note = np.repeat(np.arange(len(songs.is_even)), np.diff(songs.first_notes))
    # A repeat jumps back to notes that are not beyond the last one played so far.
    farthest = np.maximum.accumulate(song_of_note << 32 | songs.written)
    is_new = np.diff(farthest, prepend=-1) > 0
    carries = is_new & songs.carries_melody & songs.is_even[song_of_note]
    return WholeSongs(
        written=_lines(songs, songs.pitches, song_of_note, is_new),
        skeletons=_lines(songs, songs.line_pitches, song_of_note, carries),
        is_rolled=songs.is_rolled,
    )


def most_alike(
    song: int,
    songs: WholeSongs,
    asked: NDArray[np.int64],
    *,
    limit: int | None,
    above: float | None = None,
    settings: AlignmentSettings = DEFAULT_SETTINGS,
) -> WholeSongScores:
    """Find the songs most like one, at every transposition; ties by song number.

    Exact: songs and transpositions are left out only where their pitches alone, in any order,
    could not bring them among the best.

    Parameters
    ----------
    song : int
        The song's number.
    asked : shape (n_asked,)
        Numbers of the songs it is compared with; those without notes come last.
    limit : int or None
        How many songs at most; None for all.
    above : float or None
        Only songs with a higher score, which is much faster than to score all; None for every one.
    """
    wanted = len(asked) if limit is None else min(limit, len(asked))
    to_beat = kernel.NO_SCORE if above is None else np.float32(above)
    scores = np.full(len(asked), to_beat, np.float32)
    transpositions = np.zeros(len(asked), np.int32)
    if wanted:
        for question in _questions(song, songs, settings):
            _ask(question, asked, _rules(settings), wanted, scores, transpositions)
    first = np.lexsort((asked, -scores))[:wanted]
    if above is not None:
        first = first[scores[first] > to_beat]
    return WholeSongScores(asked[first], scores[first], transpositions[first])


def _lines(
    songs: SongArrays,
    pitches: NDArray[np.int16],
    song_of_note: NDArray[np.intp],
    chosen: NDArray[np.bool_],
) -> SongLines:
    counts = np.bincount(song_of_note[chosen], minlength=len(songs.is_even))
    return SongLines(
        first_notes=np.cumsum([0, *counts], dtype=np.int64),
        notes=kernel.Line(
            pitches[chosen].astype(np.int32), songs.beat_strengths[chosen].astype(np.float32)
        ),
    )


def _questions(song: int, songs: WholeSongs, settings: AlignmentSettings) -> Iterator[_Question]:
    """Ask with what is written and with the skeleton, in what is written and in skeletons."""
    price = np.where(songs.is_rolled, settings.rolled_skeleton_price, settings.skeleton_price)
    of_skeleton = (1 - price).astype(np.float32)
    as_written = np.ones(len(price), np.float32)
    for own, own_worth in ((songs.written, as_written), (songs.skeletons, of_skeleton)):
        line = own.line_of(song)
        if len(line.pitches):
            yield _Question(line, songs.written, own_worth[song] * as_written)
            yield _Question(line, songs.skeletons, own_worth[song] * of_skeleton)


def _ask(
    question: _Question,
    asked: NDArray[np.int64],
    rules: kernel.WholeRules,
    wanted: int,
    scores: NDArray[np.float32],
    transpositions: NDArray[np.int32],
) -> None:
    """Raise scores where the question has a better answer; the likeliest songs come first."""
    lines, first = question.others.notes, question.others.first_notes
    places = np.flatnonzero(np.diff(first)[asked])
    bounds = np.empty(len(places), np.float32)
    kernel.upper_bounds(lines, first, asked[places], question.own, rules, bounds)
    by_bound = np.argsort(-bounds, kind="stable")

    def scan(share: NDArray[np.intp], floor: np.float32) -> None:
        numbers = asked[share]
        found, shifts = np.empty(len(share), np.float32), np.empty(len(share), np.int32)
        kernel.scan_songs(lines, first, numbers, question.own, rules, floor, found, shifts)
        found = np.where(found > 0, found * question.worth[numbers], found)
        better = found > scores[share]
        scores[share[better]], transpositions[share[better]] = found[better], shifts[better]

    with ThreadPoolExecutor(THREADS) as threads:
        for begin in range(0, len(places), SONGS_AT_ONCE):
            likely = by_bound[begin : begin + SONGS_AT_ONCE]
            floor = np.partition(scores, -wanted)[-wanted]  # what it takes to be among the best
            if bounds[likely[0]] < floor:
                break
            list(threads.map(scan, np.array_split(places[likely], THREADS), [floor] * THREADS))


def _rules(settings: AlignmentSettings) -> kernel.WholeRules:
    return kernel.WholeRules(
        similarity=settings.similarity_table(kernel.REACH),
        beat_weight=np.float32(settings.whole_beat_weight),
        gap_open=np.float32(settings.whole_gap_open),
        gap_extend=np.float32(settings.whole_gap_extend),
    )
