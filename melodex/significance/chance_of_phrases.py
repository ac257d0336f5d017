"""How many phrases this good two songs would share by chance.

Two melodies of m and n notes have m * n pairs of positions where a phrase may begin, and the
probability that one of them scores s or more falls as e^(-rate * s): K m n e^(-rate * s) phrases
are expected. Both constants are measured, in all forms, on pairs of the catalogue's songs with
shuffled intervals.

Limits: the constants are the same for every pair, though songs that move by steps share more by
chance than songs that leap. Shuffled tab has lost its strings, so the forms inside rolls are hardly
measured: of 257 stretches of the songbook's shuffled tabs and tunes at level .3, with strings kept,
4 had these forms.

Source
------
Karlin & Altschul, "Methods for assessing the statistical significance of molecular sequence
features by using general scoring schemes", PNAS 87 (1990) 2264-2268. Fitting the constants on every
stretch that overlaps no better one: Waterman & Vingron, "Rapid and accurate estimates of
statistical significance for sequence data base searches", PNAS 91 (1994) 4625-4628 (from memory).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.stretches import matching_stretches
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays
from melodex.significance.background import FEWEST_SONGS, songs_with_notes
from melodex.significance.kept_models import kept_model
from melodex.significance.permuted_licks import with_shuffled_intervals, written_line

MODEL_FILE = "chance_of_phrases.json"
# In nats, halfway between the scores of two and three equal notes, which averages out the steps at
# which scores accumulate. In 1500 pairs of shuffled bundled songs the rate is .91 from 7 on, .94
# from 10 and .93 from 12 on, with errors of .02, .07 and .17; but 1.3 from 8 on, just below three
# equal notes.
MEASURED_FROM = 7.0
PAIRS_OF_PLACES = 2_500_000  # compared for the fit; about 700 stretches reach MEASURED_FROM
MOST_PAIRS = 700  # of songs, if they are short


@dataclass(frozen=True, slots=True)
class PhraseChance:
    """Karlin and Altschul's constants for one state of a catalogue."""

    rate: float  # lambda, a nat
    factor: float  # K

    def expected(self, log_odds: float, pairs_of_places: float) -> float:
        """Return how many phrases with at least this score are expected by chance.

        Parameters
        ----------
        log_odds : float
            A stretch's score in nats.
        pairs_of_places : float
            The product of both melodies' numbers of notes; half of it for a melody with itself.
        """
        return self.factor * pairs_of_places * float(np.exp(-self.rate * log_odds))


def fit_chance_of_phrases(songs: SongArrays, seed: int) -> PhraseChance | None:
    """Measure what shuffled songs share; None for fewer than 20, or if they share nothing."""
    with_notes = songs_with_notes(songs)
    if len(with_notes) < FEWEST_SONGS:
        return None
    rng = np.random.default_rng(seed)
    scores: list[float] = []
    places, pairs = 0, 0
    while places < PAIRS_OF_PLACES and pairs < MOST_PAIRS:
        one, other = (
            with_shuffled_intervals(written_line(songs, song), rng)
            for song in rng.choice(with_notes, 2, replace=False).tolist()
        )
        stretches = matching_stretches(one, other, least_score=MEASURED_FROM)
        scores += [stretch.log_odds for stretch in stretches]
        places += len(one) * len(other)
        pairs += 1
    return constants_of(np.array(scores), MEASURED_FROM, places)


def constants_of(
    scores: NDArray[np.float64], least: float, pairs_of_places: int
) -> PhraseChance | None:
    """Fit the constants to measured scores; None if none exceeds the least.

    Above the least, scores are distributed exponentially; the maximum-likelihood rate is the
    inverse of their mean excess.

    Parameters
    ----------
    scores : shape (n,)
        All scores of at least ``least``.
    pairs_of_places : int
        The number of pairs among which they were found.
    """
    beyond = float(np.sum(scores - least))
    if beyond <= 0:
        return None
    rate = len(scores) / beyond
    return PhraseChance(rate, len(scores) / pairs_of_places * float(np.exp(rate * least)))


def chance_of_phrases(blocks: Blocks) -> PhraseChance | None:
    """Return the constants of a catalogue, fitted if necessary; None if it is too small."""
    return kept_model(blocks, MODEL_FILE, fit_chance_of_phrases, _model_from)


def _model_from(plain: dict[str, Any]) -> PhraseChance:
    return PhraseChance(**plain)
