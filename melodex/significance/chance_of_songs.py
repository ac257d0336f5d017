"""How many songs would by chance be as similar to a whole song.

Measured on songs of the catalogue with shuffled intervals; rhythm, metre and repeats stay. The
number of unrelated songs that reach a score falls exponentially with the score in nats, at the same
rate for all songs, but from a different starting point: the score reached by a tenth of a sample of
the catalogue. A score's standing is its distance from that point.

Limits: far beyond the measured standings the number is an extrapolation; scores reached by more
than a tenth of the songs count as a tenth.

Source
------
Karlin & Altschul, "Methods for assessing the statistical significance of molecular sequence
features", PNAS 87 (1990): the exponential tail of scores that are log-odds (from memory).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.whole_song import WholeSongScores, most_alike
from melodex.alignment.written_notes import WholeSongs, whole_songs
from melodex.index.blocks import Blocks
from melodex.index.song_arrays import SongArrays
from melodex.significance.background import choose_background, songs_with_notes
from melodex.significance.kept_models import kept_model
from melodex.significance.permuted_licks import shuffle_songs
from melodex.significance.song_sample import only_songs

MODEL_FILE = "chance_of_songs.json"
BACKGROUND_SONGS = 150
TOP_SHARE = 0.1  # of the background: its standings are measured
SHUFFLED_SONGS = 50  # maximum; further limited by the next constant
PAIRS_OF_PLACES = 35_000_000  # compared with the background, as played; four seconds on two cores


@dataclass(frozen=True, slots=True)
class SongChance:
    """The distribution of chance standings in one state of a catalogue."""

    n_songs: int  # with notes
    background: tuple[int, ...]  # song indices, ascending
    rate: float  # decrease in the logarithm of the share a nat of standing


def songs_expected_by_chance(
    model: SongChance, song: int, songs: WholeSongs, found: WholeSongScores
) -> NDArray[np.float64] | None:
    """Return how many songs of the catalogue would by chance be as similar as each one found.

    Parameters
    ----------
    song : int
        The index of the song that others were compared with.

    Returns
    -------
    shape (n_songs,), float64, or None
        Above 0, at most a tenth of the songs; independent of how many were found. None (unknown) if
        the song has no notes.
    """
    if not songs.sizes[song]:
        return None
    background = np.array(model.background)
    background = background[background != song]
    standing = _standings(song, songs, background, found.scores, _top(song, songs, background))
    return model.n_songs * TOP_SHARE * np.exp(-model.rate * np.maximum(standing, 0))


def fit_chance_of_songs(songs: SongArrays, seed: int) -> SongChance | None:
    """Measure how similar shuffled songs are to others; None for fewer than 20 songs."""
    background = choose_background(songs, BACKGROUND_SONGS)
    if background is None:
        return None
    rng = np.random.default_rng(seed)
    with_notes = songs_with_notes(songs)
    drawn = rng.choice(with_notes, SHUFFLED_SONGS)
    shuffled = drawn[: _affordable(np.diff(songs.first_notes), drawn, background)]
    querying = np.arange(len(background), len(background) + len(shuffled))
    sample = only_songs(songs, np.concatenate([background, shuffled]))
    compared = whole_songs(shuffle_songs(sample, querying, rng))
    measured: list[NDArray[np.float64]] = []
    for song, came_from in zip(querying.tolist(), shuffled.tolist(), strict=True):
        others = np.flatnonzero(background != came_from)
        top = _top(song, compared, others)
        measured.append(_standings(song, compared, others, top, top))
    mean = float(np.concatenate(measured).mean())
    if mean <= 0:
        return None
    # The maximum-likelihood rate of an exponential is the inverse of the mean.
    return SongChance(len(with_notes), tuple(background.tolist()), 1 / mean)


def chance_of_songs(blocks: Blocks) -> SongChance | None:
    """Return the model of a catalogue, fitted if necessary; None for fewer than 20 songs."""
    return kept_model(blocks, MODEL_FILE, fit_chance_of_songs, _model_from)


def _top(song: int, songs: WholeSongs, background: NDArray[np.int64]) -> NDArray[np.float32]:
    """Return the scores of the background's songs most similar to one."""
    n_top = max(1, round(TOP_SHARE * len(background)))
    return most_alike(song, songs, background, limit=n_top).scores


def _standings(
    song: int,
    songs: WholeSongs,
    background: NDArray[np.int64],
    scores: NDArray[np.float32],
    top: NDArray[np.float32],
) -> NDArray[np.float64]:
    """Return how far scores exceed the lowest of the top, in nats of songs of usual length."""
    shorter = np.minimum(songs.sizes[background], songs.sizes[song]).mean()
    nats = learned_tables().of_same_note * float(shorter)
    return nats * (scores.astype(np.float64) - float(top[-1]))


def _affordable(
    sizes: NDArray[np.int64], drawn: NDArray[np.int64], background: NDArray[np.int64]
) -> int:
    """Return how many songs to compare with the background, at least one."""
    pairs_of_places = np.cumsum(sizes[drawn]) * sizes[background].sum()
    return 1 + int(np.searchsorted(pairs_of_places, PAIRS_OF_PLACES))


def _model_from(plain: dict[str, Any]) -> SongChance:
    """Restore a model from JSON made of ``dataclasses.asdict``."""
    return SongChance(plain["n_songs"], tuple(plain["background"]), plain["rate"])
