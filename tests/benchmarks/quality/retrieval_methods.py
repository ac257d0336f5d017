"""The ways of searching that are compared: each gives every song a score, the higher the better."""

from collections.abc import Callable
from functools import cache
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import AS_WRITTEN
from melodex.alignment.passage import score_songs
from melodex.features.intervals import LARGEST_INTERVAL, clipped_intervals, melodic_intervals
from melodex.index.blocks import Blocks
from melodex.kernels import subsequence_dtw as dtw
from melodex.model.lick import Lick
from melodex.search.candidates import Steps, cheapest_songs

Scores: TypeAlias = NDArray[np.float64]
Method: TypeAlias = Callable[[Lick, Blocks], Scores]

_VALUES = 2 * LARGEST_INTERVAL + 1  # that a clipped interval may have


class TrigramCounts(NamedTuple):
    """How often each song has each three successive intervals; sorted by trigram, then song."""

    trigrams: NDArray[np.int64]  # shape (n_pairs,)
    songs: NDArray[np.int64]  # shape (n_pairs,)
    counts: NDArray[np.int64]  # shape (n_pairs,)
    lengths: NDArray[np.float64]  # shape (n_songs,), Euclidean, of a song's counts


def trigram_overlap(lick: Lick, blocks: Blocks) -> Scores:
    """Count how many of the lick's trigrams a song has too, by the larger of nothing and both."""
    return _gathered(lick, blocks, np.minimum)


def trigram_cosine(lick: Lick, blocks: Blocks) -> Scores:
    """Measure the cosine between the trigram counts of lick and song."""
    products = _gathered(lick, blocks, np.multiply)
    return products / np.maximum(_trigrams_of(blocks).lengths, 1)


def plain_dtw(lick: Lick, blocks: Blocks) -> Scores:
    """Warp the lick's unclipped intervals into each song by the textbook's three steps."""
    first, intervals = _unclipped(blocks)
    songs = np.arange(len(blocks.song_ids), dtype=np.int32)
    query = melodic_intervals(lick.melody.pitches).astype(np.int32)
    return -dtw.exact_costs(intervals, first, songs, query, dtw.HOLD_STEPS).astype(np.float64)


def stage_one_hold(lick: Lick, blocks: Blocks) -> Scores:
    """Search by stage 1 where one interval may answer several."""
    return _stage_one(lick, blocks, Steps.HOLD)


def stage_one_skip(lick: Lick, blocks: Blocks) -> Scores:
    """Search by stage 1 where an interval may be left out."""
    return _stage_one(lick, blocks, Steps.SKIP)


def stage_two(lick: Lick, blocks: Blocks) -> Scores:
    """Align by pitch, beat and duration in every form."""
    everything = np.arange(len(blocks.song_ids))
    return score_songs(lick.melody, blocks.songs, everything).ranking.astype(np.float64)


def stage_two_as_written(lick: Lick, blocks: Blocks) -> Scores:
    """Align as written alone."""
    everything = np.arange(len(blocks.song_ids))
    found = score_songs(lick.melody, blocks.songs, everything, forms=(AS_WRITTEN,))
    return found.ranking.astype(np.float64)


PLAIN_DTW = "plain DTW"
METHODS: dict[str, Method] = {
    "trigram overlap": trigram_overlap,
    "trigram cosine": trigram_cosine,
    PLAIN_DTW: plain_dtw,
    "stage 1, hold": stage_one_hold,
    "stage 1, skip": stage_one_skip,
    "stage 2": stage_two,
    "stage 2, as written": stage_two_as_written,
}


def _stage_one(lick: Lick, blocks: Blocks, steps: Steps) -> Scores:
    query = clipped_intervals(lick.melody.pitches).astype(np.int32)
    everything = np.ones(len(blocks.song_ids), np.bool_)
    scores = np.full(len(blocks.song_ids), -np.inf)
    for song, cost in (
        (candidate.song, candidate.cost)
        for candidate in cheapest_songs(blocks, query, steps=steps, allowed=everything, limit=None)
    ):
        scores[song] = -cost
    return scores


@cache
def _unclipped(blocks: Blocks) -> tuple[NDArray[np.int64], NDArray[np.int8]]:
    """Lay out all songs' intervals as they are; none of the benchmark's is wider than 127."""
    songs = range(len(blocks.song_ids))
    lines = [melodic_intervals(blocks.songs.pitches[blocks.songs.notes_of(n)]) for n in songs]
    first = np.cumsum([0, *(len(line) for line in lines)], dtype=np.int64)
    return first, np.concatenate(lines).astype(np.int8)


@cache
def _trigrams_of(blocks: Blocks) -> TrigramCounts:
    songs = range(len(blocks.song_ids))
    codes = [_codes(blocks.songs.intervals_of(number)) for number in songs]
    song_of = np.repeat(songs, [len(line) for line in codes])
    pairs, counts = np.unique(np.concatenate(codes) * len(codes) + song_of, return_counts=True)
    trigrams, song_of_pair = np.divmod(pairs, len(codes))
    squares = np.bincount(
        song_of_pair, weights=counts.astype(np.float64) ** 2, minlength=len(codes)
    )
    return TrigramCounts(trigrams, song_of_pair, counts, np.sqrt(squares))


def _gathered(
    lick: Lick,
    blocks: Blocks,
    combine: Callable[[NDArray[np.int64], np.int64], NDArray[np.int64]],
) -> Scores:
    """Sum over the lick's trigrams what a song's count and the lick's count make together."""
    table = _trigrams_of(blocks)
    scores = np.zeros(len(blocks.song_ids))
    wanted, counts = np.unique(_codes(clipped_intervals(lick.melody.pitches)), return_counts=True)
    begins, ends = (np.searchsorted(table.trigrams, wanted, side) for side in ("left", "right"))
    for begin, end, count in zip(begins, ends, counts, strict=True):
        scores[table.songs[begin:end]] += combine(table.counts[begin:end], count)
    return scores


def _codes(intervals: NDArray[np.int16] | NDArray[np.int32]) -> NDArray[np.int64]:
    """Write every three successive intervals as one number."""
    digits = intervals.astype(np.int64) + LARGEST_INTERVAL
    return (digits[:-2] * _VALUES + digits[1:-1]) * _VALUES + digits[2:]
