"""The songs that match a lick best, found without aligning it with every song in every form.

A scan with scores nowhere below those of several forms bounds what each song reaches in any of
them; only songs whose bound is high enough are aligned form by form. What is found is what aligning
everything finds.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import Enum, auto

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import Form, forms_of
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import (
    kinds_of,
    lick_line,
    most_permissive,
    paid_by_each_note,
    pair_scores,
    song_notes,
)
from melodex.alignment.passage import (
    NO_SCORE,
    PassageScores,
    scan_songs,
    score_of_itself,
    score_songs,
)
from melodex.alignment.tonics import PITCH_CLASSES, tonic_scores
from melodex.features.skeleton import Texture, sounds_rolled
from melodex.index.song_arrays import SongArrays
from melodex.kernels import pair_alignment as kernel
from melodex.model.key import Key
from melodex.model.melody import Melody


class Together(Enum):
    """Which forms share a scan that bounds them, the cheapest first and the closest last."""

    ALL = auto()
    # Where filler may be left out at next to no cost, the bound of a long lick says little.
    ALIKE_IN_GAPS = auto()


ALIGNED_FIRST = 10  # times the songs wanted, so that the bound on the rest is nearly the last


def score_best(
    lick: Melody,
    songs: SongArrays,
    selected: NDArray[np.int64],
    key: Key | None = None,
    *,
    limit: int | None,
) -> PassageScores:
    """Score the songs that match a lick best, and some others; equal to ``score_songs`` for them.

    Parameters
    ----------
    lick, songs, selected, key
        As for ``score_songs``.
    limit : int or None
        How many songs are wanted; all that rank as high as the last of them are scored. None for
        all.
    """
    if limit is None or ALIGNED_FIRST * limit >= len(selected):
        return score_songs(lick, songs, selected, key)
    bonus = tonic_scores(lick.pitches, key, learned_tables())
    found = score_songs(lick, songs, selected[:0], key)
    for together in Together:
        bounds = upper_bounds(lick, songs, selected, bonus, together)
        likeliest = np.argsort(-bounds, kind="stable")
        first, others = np.split(likeliest, [ALIGNED_FIRST * limit])
        found = _joined(found, score_songs(lick, songs, selected[first], key))
        least = np.sort(found.ranking)[-limit]
        selected = selected[others[bounds[others] >= least]]
    return _joined(found, score_songs(lick, songs, selected, key))


def score_alike(
    lick: Melody, songs: SongArrays, selected: NDArray[np.int64], *, least: float
) -> PassageScores:
    """Score the songs with a passage as like a lick as wanted, and some others.

    Parameters
    ----------
    least : float
        The share of the lick's score with itself, as ``PassageScores.shares``.
    """
    least_score = np.float32(least * score_of_itself(lick) - 1 / kernel.UNIT)
    for together in Together:
        bounds = upper_bounds(lick, songs, selected, np.zeros(PITCH_CLASSES), together)
        selected = selected[bounds >= least_score]
    return score_songs(lick, songs, selected)


def upper_bounds(
    lick: Melody,
    songs: SongArrays,
    selected: NDArray[np.int64],
    bonus: NDArray[np.float64],
    together: Together,
) -> NDArray[np.float32]:
    """Bound what the lick scores in each song, in any form at any transposition; nats.

    Parameters
    ----------
    bonus : shape (12,)
        As ``tonic_scores`` gives it, or zeros for scores without it.
    together : Together
        Which forms share a scan.

    Returns
    -------
    shape (n_selected,), float32
    """
    forms = forms_of(lick_is_rolled=sounds_rolled(lick))
    is_rolled = songs.song_textures[selected] >= Texture.ROLLED
    bounds = np.full(len(selected), NO_SCORE)
    for rolled in (False, True):
        chosen = is_rolled == rolled
        if chosen.any():
            for of_group in _groups(forms, rolled=rolled, together=together):
                priors = [form.prior_of_rolls if rolled else form.prior for form in of_group]
                found = _bounds_of(lick, songs, selected[chosen], of_group, priors, bonus)
                bounds[chosen] = np.maximum(bounds[chosen], found)
    return bounds


def _groups(forms: Sequence[Form], *, rolled: bool, together: Together) -> Iterable[Sequence[Form]]:
    """Group the forms that songs in rolls, or others, may have."""
    groups = defaultdict[tuple[bool, bool], list[Form]](list)
    apart = together == Together.ALIKE_IN_GAPS
    for form in forms:
        if rolled or form.least_texture < Texture.ROLLED:
            # In plain songs both lines of pitches are one.
            of_song = form.song_in_rolls and (rolled or apart)
            groups[of_song, form.lick_in_rolls and apart].append(form)
    return groups.values()


def _bounds_of(
    lick: Melody,
    songs: SongArrays,
    selected: NDArray[np.int64],
    forms: Sequence[Form],
    priors: Sequence[float],
    bonus: NDArray[np.float64],
) -> NDArray[np.float32]:
    tables, line, kinds = learned_tables(), lick_line(lick), kinds_of(songs)
    of_forms = [
        paid_by_each_note(pair_scores(line, kinds, form, tables), prior)
        for form, prior in zip(forms, priors, strict=True)
    ]
    scores = most_permissive(of_forms)
    return scan_songs(song_notes(songs, forms[0]), songs, selected, scores, bonus)[0]


def _joined(found: PassageScores, others: PassageScores) -> PassageScores:
    """Put two searches for one lick together, in the order of the songs' numbers."""
    order = np.argsort(np.concatenate([found.songs, others.songs]))
    return replace(
        found,
        songs=np.concatenate([found.songs, others.songs])[order],
        ranking=np.concatenate([found.ranking, others.ranking])[order],
        scores=np.concatenate([found.scores, others.scores])[order],
        forms=np.concatenate([found.forms, others.forms])[order],
        transpositions=np.concatenate([found.transpositions, others.transpositions])[order],
    )
