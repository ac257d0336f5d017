"""Upper bounds of a lick's score in each song, in any form at any transposition."""

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import Form
from melodex.alignment.losses import bound_by_losses
from melodex.alignment.pair_scores import most_permissive, song_notes, with_prior_spread
from melodex.alignment.passage import NO_SCORE, LickInForms, scan_songs
from melodex.features.skeleton import Texture
from melodex.index.song_arrays import SongArrays
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import Songs


class _Group(NamedTuple):
    """Forms that share a scan, and the songs to which they apply."""

    notes: Songs
    scores: PairScores  # the maximum over the forms
    indices: NDArray[np.intp]  # of the songs among the selected
    bounds: NDArray[np.float32]  # of their scores in these forms


class UpperBounds:
    """Upper bounds of a lick's scores in songs, bonus and priors included; nats.

    They are rough at first: one scan in bytes for all forms with the same gap scores.
    """

    def __init__(
        self, lick: LickInForms, songs: SongArrays, selected: NDArray[np.int64], least: float
    ) -> None:
        """Bound all songs roughly; scores below ``least`` are not distinguished."""
        self._lick, self._songs, self._selected = lick, songs, selected
        self._groups: list[_Group] = []
        is_rolled = songs.song_textures[selected] >= Texture.ROLLED
        for rolled in (False, True):
            indices = np.flatnonzero(is_rolled == rolled)
            for form, scores in _joint_scores(lick, rolled=rolled) if len(indices) else ():
                notes = song_notes(songs, form)
                bounds = bound_by_losses(notes, songs, selected[indices], scores, lick.bonus, least)
                self._groups.append(_Group(notes, scores, indices, bounds))

    def tighten(self, least: np.float32) -> None:
        """Replace the bounds that reach a score by closer ones."""
        for group in self._groups:
            open_ones = np.flatnonzero(group.bounds >= least)
            numbers = self._selected[group.indices[open_ones]]
            group.bounds[open_ones], _ = scan_songs(
                group.notes, self._songs, numbers, group.scores, self._lick.bonus
            )

    @property
    def of_songs(self) -> NDArray[np.float32]:
        """The bounds; shape (n_selected,)."""
        highest = np.full(len(self._selected), NO_SCORE)
        for group in self._groups:
            highest[group.indices] = np.maximum(highest[group.indices], group.bounds)
        return highest


def _joint_scores(lick: LickInForms, *, rolled: bool) -> Iterator[tuple[Form, PairScores]]:
    """Combine the scores of forms with the same gap scores, for songs in rolls or for others.

    A bound on all forms would be loose, since some allow filler to be left out at little cost.
    """
    groups = defaultdict[tuple[bool, bool], list[tuple[Form, PairScores]]](list)
    for form, scores in zip(lick.forms, lick.pair_scores, strict=True):
        if rolled or form.least_texture < Texture.ROLLED:
            prior = form.prior_of_rolls if rolled else form.prior
            paid = with_prior_spread(scores, prior)
            groups[form.song_in_rolls, form.lick_in_rolls].append((form, paid))
    for alike in groups.values():
        yield alike[0][0], most_permissive([scores for _, scores in alike])
