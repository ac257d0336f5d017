"""The songs that have a stretch in common with one song."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import Form, forms_between
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import LARGEST_16, in_16_bits, most_permissive, pair_scores
from melodex.alignment.written_notes import WholeSongs
from melodex.features.skeleton import Texture
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import UNIT, Ends, Songs, best_scores

THREADS = 2  # the kernels run without the GIL
SONGS_IN_A_SHARE = 128


def with_stretch_in_common(
    song: int,
    songs: WholeSongs,
    selected: NDArray[np.int64],
    least_scores: NDArray[np.float64],
) -> NDArray[np.int64]:
    """Return the selected songs that have a stretch in common with one song, in any form and key.

    Exact: they are the songs for which ``matching_stretches`` yields a stretch. One scan with the
    maximum of the scores of several forms rules out most songs for all of them.

    Parameters
    ----------
    song : int
        The song's number.
    selected : shape (n_selected,)
        Numbers of the songs it is compared with.
    least_scores : shape (n_selected,)
        The least score of a stretch in each, in nats, above 0.

    Returns
    -------
    shape (n_found,), int64
        In the order given.
    """
    found = np.zeros(len(selected), np.bool_)
    least = np.floor(UNIT * least_scores)
    if songs.sizes[song]:
        with ThreadPoolExecutor(THREADS) as threads:
            for forms, applies in _forms(song, songs, selected):
                scores = [_scores(song, songs, form) for form in forms]
                prior = max(form.prior_of_rolls for form in forms)
                indices = np.flatnonzero(applies & ~found)
                bounds = _best(forms[0], most_permissive(scores), songs, selected[indices], threads)
                likely = indices[bounds + UNIT * prior >= least[indices]]
                for form, of_form in zip(forms, scores, strict=True):
                    left = likely[~found[likely]]
                    best = _best(form, of_form, songs, selected[left], threads)
                    found[left] = best + round(UNIT * form.prior_of_rolls) >= least[left]
    return selected[found]


def _forms(
    song: int, songs: WholeSongs, selected: NDArray[np.int64]
) -> Iterator[tuple[Sequence[Form], NDArray[np.bool_]]]:
    """Yield the forms of ``forms_between`` with the songs to which they apply."""
    has_notes, textures = songs.sizes[selected] > 0, songs.textures[selected]
    for texture in Texture:
        for forms in _alike_in_lines(forms_between(Texture(songs.textures[song]), texture)):
            yield forms, has_notes & (textures == texture)


def _alike_in_lines(forms: Sequence[Form]) -> Iterable[Sequence[Form]]:
    """Group forms that compare the same pitches."""
    by_lines = defaultdict[tuple[bool, bool], list[Form]](list)
    for form in forms:
        by_lines[form.lick_in_rolls, form.song_in_rolls].append(form)
    return by_lines.values()


def _scores(song: int, songs: WholeSongs, form: Form) -> PairScores:
    line = songs.line_of(song, in_rolls=form.lick_in_rolls)
    return pair_scores(line, songs.kinds, form, learned_tables(), np.int32)


def _best(
    form: Form,
    scores: PairScores,
    songs: WholeSongs,
    selected: NDArray[np.int64],
    threads: ThreadPoolExecutor,
) -> NDArray[np.int32]:
    """Return the score of each song's best common stretch; shape (n_selected,)."""
    pitches = songs.pitches_in(rolls=form.song_in_rolls)
    notes = Songs(songs.first_notes, pitches, songs.note_kinds, songs.joined_kinds)
    of_pair = max(int(scores.match.max()), int(scores.split.max()), int(scores.joined.max()))
    of_pair += int(scores.pitch.max())
    shorter = np.minimum(songs.sizes[selected], len(scores.lick_pitches))
    best = np.empty(len(selected), np.int32)

    def scan(work: tuple[NDArray[np.intp], PairScores]) -> None:
        share, fitting = work
        none = np.full(len(songs.sizes), -1, np.int8)
        share_best, shifts = np.empty(len(share), np.int32), np.empty(len(share), np.int32)
        no_bonus = np.zeros(12, fitting.match.dtype)
        best_scores(notes, selected[share], fitting, Ends.BOTH, no_bonus, none, share_best, shifts)
        best[share] = share_best

    small = shorter * of_pair <= LARGEST_16
    work = [
        (share, fitting)
        for fits, fitting in ((small, in_16_bits(scores)), (~small, scores))
        for share in np.array_split(np.flatnonzero(fits), 1 + fits.sum() // SONGS_IN_A_SHARE)
        if len(share)
    ]
    list(threads.map(scan, work))
    return best
