"""How many phrases this good two songs would share by chance.

Two melodies of m and n notes have m * n pairs of places where a phrase may begin, and the chance
that one there is worth w falls as e^(-rate * w): K m n e^(-rate * w) phrases are expected. Both
constants are measured on pairs of the catalogue's songs whose intervals stand in another order.

Limits: they are the same for every pair, though a song that moves by steps shares more by chance
than one that leaps; a phrase in the skeleton of a rolled song is counted as if it were written.

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

from melodex.alignment.stretches import answering_stretches
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays
from melodex.significance.background import FEWEST_SONGS, songs_with_notes
from melodex.significance.kept_models import kept_model
from melodex.significance.permuted_licks import with_shuffled_intervals, written_line

MODEL_FILE = "chance_of_phrases.json"
# From here on the rate does not depend on where it is measured: in 3000 pairs of bundled songs it
# is 2.7 from 3.5, 2.8 from 4 and 2.5 from 4.5 on, each about a twentieth unsure.
MEASURED_FROM = 3.5  # worth
PAIRS_OF_PLACES = 2_500_000  # compared for the fit; some 250 stretches reach MEASURED_FROM
MOST_PAIRS = 700  # of songs, where they are short


@dataclass(frozen=True, slots=True)
class PhraseChance:
    """Karlin and Altschul's constants of one state of a catalogue."""

    rate: float  # lambda, for each unit of worth
    factor: float  # K

    def expected(self, worth: float, pairs_of_places: float) -> float:
        """Give how many phrases of this worth or more chance brings forth.

        Parameters
        ----------
        worth : float
            The same notes in the same rhythm are worth their number.
        pairs_of_places : float
            The product of both melodies' numbers of notes, half of it for one with itself.
        """
        return self.factor * pairs_of_places * float(np.exp(-self.rate * worth))


def fit_chance_of_phrases(songs: SongArrays, seed: int) -> PhraseChance | None:
    """Measure what shuffled songs share; None for fewer than 20, or where they share nothing."""
    with_notes = songs_with_notes(songs)
    if len(with_notes) < FEWEST_SONGS:
        return None
    rng = np.random.default_rng(seed)
    worths: list[float] = []
    places, pairs = 0, 0
    while places < PAIRS_OF_PLACES and pairs < MOST_PAIRS:
        one, other = (
            with_shuffled_intervals(written_line(songs, song), rng)
            for song in rng.choice(with_notes, 2, replace=False).tolist()
        )
        stretches = answering_stretches(one, other, least_worth=MEASURED_FROM)
        worths += [stretch.worth for stretch in stretches]
        places += len(one) * len(other)
        pairs += 1
    return constants_of(np.array(worths), MEASURED_FROM, places)


def constants_of(
    worths: NDArray[np.float64], least: float, pairs_of_places: int
) -> PhraseChance | None:
    """Fit the constants to what was found; None where nothing is worth more than the least.

    Beyond the least the worths fall off exponentially: the inverse of their mean there is the most
    likely rate.

    Parameters
    ----------
    worths : shape (n,)
        All that are ``least`` or more.
    pairs_of_places : int
        Among how many they were found.
    """
    beyond = float(np.sum(worths - least))
    if beyond <= 0:
        return None
    rate = len(worths) / beyond
    return PhraseChance(rate, len(worths) / pairs_of_places * float(np.exp(rate * least)))


def chance_of_phrases(blocks: Blocks) -> PhraseChance | None:
    """Return the constants of a catalogue, fitted where there are none; None if it is too small."""
    return kept_model(blocks, MODEL_FILE, fit_chance_of_phrases, _model_from)


def _model_from(plain: dict[str, Any]) -> PhraseChance:
    return PhraseChance(**plain)
