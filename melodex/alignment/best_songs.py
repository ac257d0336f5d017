"""The songs that match a lick best, found without aligning it with every song in every form.

Only songs that a bound does not rule out are aligned form by form. The result is the same as that
of aligning all songs.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.passage import (
    LickInForms,
    PassageScores,
    in_forms,
    score_in_forms,
    score_of_itself,
)
from melodex.alignment.upper_bounds import UpperBounds
from melodex.index.song_arrays import SongArrays
from melodex.kernels.pair_alignment import UNIT
from melodex.model.key import Key
from melodex.model.melody import Melody

# Songs that are always aligned: they set the first score to beat, and the chance level is estimated
# from them (``significance.chance``).
SAMPLE = 600
ONE_IN = 4  # the sample is at most this fraction of the songs
ALIGNED_AT_ONCE = 3  # times the songs wanted, aligned before the score to beat is updated


def score_best(
    lick: Melody,
    songs: SongArrays,
    selected: NDArray[np.int64],
    key: Key | None = None,
    *,
    limit: int | None,
) -> PassageScores:
    """Score the songs that match a lick best, and some others, exactly as ``score_songs`` does.

    Parameters
    ----------
    lick, songs, selected, key
        As for ``score_songs``.
    limit : int or None
        How many songs are wanted; ties with the last of them are scored too, and so is a sample of
        all songs. None for all.
    """
    query = in_forms(lick, songs, key)
    if limit is None or limit >= len(selected):
        return score_in_forms(query, songs, selected)
    first = max(limit, min(SAMPLE, len(selected) // ONE_IN))
    search = _Search(query, songs, sample_of(selected, songs, first), limit)
    others = np.setdiff1d(selected, search.found.songs, assume_unique=True)
    bounds = UpperBounds(query, songs, others, float(search.least))
    search.align_likeliest(others, bounds.of_songs)
    bounds.tighten(search.least)
    is_left = ~np.isin(others, search.found.songs)
    others, left = others[is_left], bounds.of_songs[is_left]
    while len(others):
        others, left = search.align_likeliest(others, left)
    return search.found


def score_alike(
    lick: Melody, songs: SongArrays, selected: NDArray[np.int64], *, least: float
) -> PassageScores:
    """Score the songs that have a passage enough like a lick, and some others.

    Parameters
    ----------
    least : float
        The share of the lick's score with itself, as ``PassageScores.shares``.
    """
    query = in_forms(lick, songs)
    least_score = np.float32(least * score_of_itself(lick) - 1 / UNIT)
    without_tonics = query._replace(bonus=np.zeros_like(query.bonus))
    bounds = UpperBounds(without_tonics, songs, selected, float(least_score))
    bounds.tighten(least_score)
    return score_in_forms(query, songs, selected[bounds.of_songs >= least_score])


class _Search:
    """The songs aligned so far."""

    def __init__(
        self, query: LickInForms, songs: SongArrays, first: NDArray[np.int64], limit: int
    ) -> None:
        """Align the first songs, at least as many as wanted."""
        self.query, self.songs, self.limit = query, songs, limit
        self.found = score_in_forms(query, songs, first)

    @property
    def least(self) -> np.float32:
        """The score needed to be among the best."""
        return np.float32(np.partition(self.found.ranking, -self.limit)[-self.limit])

    def align_likeliest(
        self, others: NDArray[np.int64], bounds: NDArray[np.float32]
    ) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
        """Align the songs with the highest bounds; return those not ruled out."""
        likeliest = np.argsort(-bounds, kind="stable")
        likeliest = likeliest[bounds[likeliest] >= self.least]
        first, rest = np.split(likeliest, [ALIGNED_AT_ONCE * self.limit])
        self.found = _joined(self.found, score_in_forms(self.query, self.songs, others[first]))
        rest = rest[bounds[rest] >= self.least]
        return others[rest], bounds[rest]


def sample_of(selected: NDArray[np.int64], songs: SongArrays, largest: int) -> NDArray[np.int64]:
    """Choose at most ``largest`` of the selected songs, of all lengths."""
    by_size = selected[np.argsort(np.diff(songs.first_notes)[selected], kind="stable")]
    indices = np.linspace(0, len(by_size) - 1, min(largest, len(by_size))).astype(np.int64)
    return np.sort(by_size[indices])


def _joined(found: PassageScores, others: PassageScores) -> PassageScores:
    """Merge two results for one lick, ordered by song number."""
    order = np.argsort(np.concatenate([found.songs, others.songs]))
    return replace(
        found,
        songs=np.concatenate([found.songs, others.songs])[order],
        ranking=np.concatenate([found.ranking, others.ranking])[order],
        scores=np.concatenate([found.scores, others.scores])[order],
        forms=np.concatenate([found.forms, others.forms])[order],
        transpositions=np.concatenate([found.transpositions, others.transpositions])[order],
    )
