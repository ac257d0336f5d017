"""How many songs would be as much like a whole song by chance.

Measured on songs of the catalogue whose intervals stand in another order, as told in
``background``; rhythm, metre and repeats stay where they are.

Limits: the tail is measured down to one comparison in some 600 and carried on from there. On the
12,760 bundled songs chance finds 1.4 songs where one is expected at level 10, but some three at
level 1 and some six at .1; more where the song has from 40 to 79 notes, fewer where it has more.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.whole_song import WholeSongs, WholeSongScores, most_alike, whole_songs
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays
from melodex.significance.background import (
    ChanceModel,
    choose_background,
    model_from,
    songs_with_notes,
    standings,
)
from melodex.significance.kept_models import kept_model
from melodex.significance.permuted_licks import shuffle_songs
from melodex.significance.song_sample import only_songs
from melodex.significance.tail import fit_tail

MODEL_FILE = "chance_of_songs.json"
# Fitted to 80 songs against 250, the number at level 1 varied twentyfold with the seed; so, little.
BACKGROUND_SONGS = 150
SHUFFLED_SONGS = 200  # at most, and no more than make so many
PAIRS_OF_PLACES = 150_000_000  # with the background, as played; two seconds on two cores
PERFECT = 1.0  # a song with itself


def songs_expected_by_chance(
    model: ChanceModel, song: int, songs: WholeSongs, found: WholeSongScores
) -> NDArray[np.float64] | None:
    """Give how many songs of the catalogue would by chance be as much like one as each found.

    Parameters
    ----------
    song : int
        The number of the song that others were compared with.

    Returns
    -------
    shape (n_songs,), float64, or None
        As for ``ChanceModel.expected``; it does not depend on how many were found.
    """
    background = np.array(model.background)
    scores = most_alike(song, songs, background[background != song], limit=None).scores
    return model.expected(found.scores, scores, PERFECT)


def fit_chance_of_songs(songs: SongArrays, seed: int) -> ChanceModel | None:
    """Measure how much shuffled songs are like others; None for fewer than 20 songs."""
    background = choose_background(songs, BACKGROUND_SONGS)
    if background is None:
        return None
    rng = np.random.default_rng(seed)
    with_notes = songs_with_notes(songs)
    drawn = rng.choice(with_notes, SHUFFLED_SONGS)
    shuffled = drawn[: _affordable(np.diff(songs.first_notes), drawn, background)]
    asking = np.arange(len(background), len(background) + len(shuffled))
    sample = only_songs(songs, np.concatenate([background, shuffled]))
    compared = whole_songs(shuffle_songs(sample, asking, rng))
    measured: list[NDArray[np.float64]] = []
    for asks, came_from in zip(asking.tolist(), shuffled.tolist(), strict=True):
        others = np.flatnonzero(background != came_from)
        scores = most_alike(asks, compared, others, limit=None).scores
        standing = standings(scores, scores, PERFECT)
        if standing is not None:
            measured.append(standing)
    if not measured:
        return None
    tail = fit_tail(np.concatenate(measured))
    return ChanceModel(len(with_notes), tuple(background.tolist()), tail)


def _affordable(
    sizes: NDArray[np.int64], drawn: NDArray[np.int64], background: NDArray[np.int64]
) -> int:
    """Tell how many songs may be compared with the background; one at least."""
    pairs_of_places = np.cumsum(sizes[drawn]) * sizes[background].sum()
    return 1 + int(np.searchsorted(pairs_of_places, PAIRS_OF_PLACES))


def chance_of_songs(blocks: Blocks) -> ChanceModel | None:
    """Return the model of a catalogue, fitted where there is none; None for fewer than 20 songs."""
    return kept_model(blocks, MODEL_FILE, fit_chance_of_songs, model_from)
