"""How many songs would match a lick this well by chance.

Measured on permuted licks of 5 to 20 notes, as described in ``background``: repeated notes and
steps are matched easily, leaps are not.

Limits: a lick that a large part of the catalogue contains in varied forms raises its own
background, so its number is too large; four and five notes prove little whatever their number; far
beyond the measured standings the number is an extrapolation and only means "small"; for licks of 40
notes, chance finds about two songs where one is expected.
"""

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.best_songs import SAMPLE, sample_of, score_best
from melodex.alignment.passage import PassageScores, score_of_itself, score_songs
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
from melodex.significance.permuted_licks import permuted_lick
from melodex.significance.tail import fit_tail

MODEL_FILE = "chance_of_matches.json"
BACKGROUND_SONGS = SAMPLE  # those that the search has scored anyway
MANY_SONGS, HIGHEST = 3_000, 20  # rare standings are measured on more songs, the highest alone
ENOUGH_SONGS = 200  # for the background of a search; with fewer, the model's own songs are added
LENGTHS = range(5, 21)  # notes
LICKS_OF_EACH_LENGTH = 6
# On the 12,760 bundled songs, exact matches expected by chance for 20 real licks of each length
# (median): .87 songs for 4 notes, .17 for 5, .03 for 6, .004 for 8. One lick in ten of 4 notes is
# expected in more than 11 songs, of 5 in more than .9, of 6 in more than .56.
WEAK_BELOW = 6  # notes


def is_weak_evidence(n_notes: int) -> bool:
    """Return whether a lick is so short that even an exact match is weak evidence."""
    return n_notes < WEAK_BELOW


def expected_by_chance(
    model: ChanceModel,
    found: PassageScores,
    songs: SongArrays,
    *,
    aligned: NDArray[np.int64],
    n_searched: int,
) -> NDArray[np.float64] | None:
    """Return how many of the songs searched would by chance match as well as each one found.

    Parameters
    ----------
    aligned : shape (n_aligned,)
        The songs aligned, of which those found are the best; a sample of them is the background, so
        that filters are taken into account.
    n_searched : int
        The number of songs searched, including those that were not aligned.

    Returns
    -------
    shape (n_found,), float64, or None
        Above 0, at most the number searched. None (unknown) if the background's scores are all
        equal.
    """
    sample = sample_of(aligned, songs, BACKGROUND_SONGS)
    if len(sample) < ENOUGH_SONGS:
        sample = np.union1d(sample, model.background)
    background = _rankings(found, songs, sample)
    return model.expected(
        found.ranking, background, score_of_itself(found.lick, found.key), n_songs=n_searched
    )


def _rankings(
    found: PassageScores, songs: SongArrays, numbers: NDArray[np.int64]
) -> NDArray[np.float32]:
    """Return how well songs match; songs that are not among those found are aligned."""
    places = np.minimum(np.searchsorted(found.songs, numbers), len(found.songs) - 1)
    rankings, missing = found.ranking[places], found.songs[places] != numbers
    rankings[missing] = score_songs(found.lick, songs, numbers[missing], found.key).ranking
    return rankings


def fit_chance(songs: SongArrays, seed: int) -> ChanceModel | None:
    """Measure the scores of permuted licks in a catalogue; None for fewer than 20 songs."""
    background = choose_background(songs, BACKGROUND_SONGS)
    many = choose_background(songs, MANY_SONGS)
    if background is None or many is None:
        return None
    rng = np.random.default_rng(seed)
    measured: list[NDArray[np.float64]] = []
    highest: list[NDArray[np.float64]] = []
    for n_notes in (*LENGTHS,) * LICKS_OF_EACH_LENGTH:
        permuted = permuted_lick(songs, n_notes, rng)
        if permuted is None:
            continue
        lick, cut_from = permuted
        perfect = score_of_itself(lick)
        typical = score_songs(lick, songs, background[background != cut_from]).ranking
        standing = standings(typical, typical, perfect)
        if standing is None:
            continue
        measured.append(standing)
        best = score_best(lick, songs, many[many != cut_from], limit=HIGHEST).ranking
        rare = standings(np.sort(best)[-HIGHEST:], typical, perfect)
        if rare is not None:
            highest.append(rare)
    if not measured:
        return None
    tail = fit_tail(np.concatenate(measured), highest, len(many) * len(highest))
    return ChanceModel(len(songs_with_notes(songs)), tuple(background.tolist()), tail)


def chance_of(blocks: Blocks) -> ChanceModel | None:
    """Return the model of a catalogue, fitted if necessary; None for fewer than 20 songs."""
    return kept_model(blocks, MODEL_FILE, fit_chance, model_from)
