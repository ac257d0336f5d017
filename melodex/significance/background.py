"""How far a match stands out from the scores of unrelated songs.

The scores of a sample of the songs searched, the background, show how easily a melody is matched at
all. Songs that come more than half way to the perfect score are excluded, since they may well be
relatives. A score's standing is its distance above the background's upper tenth, in units that grow
with the background's spread. How often chance reaches a standing is measured on melodies with
shuffled intervals; the expected number of chance matches is that share of the catalogue.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.best_songs import sample_of
from melodex.index.song_arrays import SongArrays
from melodex.significance.tail import Tail

FEWEST_SONGS = 20  # with notes; of fewer the upper tenth is at most one song
TYPICAL, HIGH, TOP = 0.5, 0.9, 0.98  # the quantiles of the background
# Scores fall off faster where the background spreads less, but not in proportion: the spread of a
# sample is partly chance. With powers of the spread of 0, .25, .5, .75 and 1, the number of songs
# that 396 permuted licks find at levels of 1 and 10, in quarters by spread and by length, is off by
# factors of 2.3, 1.7, 1.35, 1.1 and 1.3 on average.
SPREAD_POWER = 0.75
# Share of the way from the median to the perfect score beyond which songs count as relatives.
# Without this exclusion, a lick shared by ten of the songbook's 57 songs was expected by chance in
# four.
RELATIVES_BEYOND = 0.5
# If more of them are that close, the melody is common to all songs.
MOST_RELATIVES = 0.25


@dataclass(frozen=True, slots=True)
class ChanceModel:
    """The distribution of chance scores in one state of a catalogue."""

    n_songs: int  # with notes
    background: tuple[int, ...]  # song indices, ascending
    tail: Tail  # of the distribution of standings

    def expected(
        self,
        scores: NDArray[np.float32],
        background: NDArray[np.float32],
        perfect: float,
        n_songs: int | None = None,
    ) -> NDArray[np.float64] | None:
        """Return how many songs would reach each score by chance.

        Parameters
        ----------
        scores : shape (n,)
        background : shape (n_background,)
            Scores of the background's songs.
        perfect : float
            The highest possible score.
        n_songs : int or None
            The number of songs searched; None for the whole catalogue.

        Returns
        -------
        shape (n,), float64, or None
            Above 0, at most the number of songs. None (unknown) if the background's scores are all
            equal.
        """
        standing = standings(scores, background, perfect)
        if standing is None:
            return None
        among = self.n_songs if n_songs is None else n_songs
        levels: NDArray[np.float64] = among * np.exp(self.tail.log_share(standing))
        return levels


def model_from(plain: dict[str, Any]) -> ChanceModel:
    """Restore a model from JSON made of ``dataclasses.asdict``."""
    tail = plain["tail"]
    return ChanceModel(
        n_songs=plain["n_songs"],
        background=tuple(plain["background"]),
        tail=Tail(tuple(tail["values"]), tuple(tail["log_shares"]), tail["rate"]),
    )


def songs_with_notes(songs: SongArrays) -> NDArray[np.int64]:
    """Return the indices of the songs with notes, shortest first."""
    sizes = np.diff(songs.first_notes)
    return np.argsort(sizes, kind="stable")[np.count_nonzero(sizes == 0) :]


def choose_background(songs: SongArrays, largest: int) -> NDArray[np.int64] | None:
    """Return songs of all lengths, ``largest`` at most; None if fewer than 20 have notes."""
    with_notes = songs_with_notes(songs)
    return sample_of(with_notes, songs, largest) if len(with_notes) >= FEWEST_SONGS else None


def standings(
    scores: NDArray[np.float32], background: NDArray[np.float32], perfect: float
) -> NDArray[np.float64] | None:
    """Return scores relative to those of the background; None if these are all equal."""
    typical = float(np.median(background))
    is_relative = background > typical + RELATIVES_BEYOND * (perfect - typical)
    others = background[~is_relative] if is_relative.mean() <= MOST_RELATIVES else background
    middle, high, top = np.quantile(others.astype(np.float64), [TYPICAL, HIGH, TOP]).tolist()
    spread = top - middle
    return (scores.astype(np.float64) - high) / spread**SPREAD_POWER if spread > 0 else None
