"""A lick anywhere in a song: how well it matches, and which notes match."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import Form, forms_of
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import kinds_of, lick_line, pair_scores, song_notes
from melodex.alignment.tonics import tonic_scores
from melodex.features.scale_classes import scale_classes
from melodex.features.skeleton import line_pitches, sounds_rolled
from melodex.index.song_arrays import SongArrays
from melodex.kernels import alignment_paths as paths
from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import Ends
from melodex.kernels.transposition_scores import scores_by_transposition
from melodex.model.key import Key
from melodex.model.melody import Melody

NO_SCORE = np.float32(kernel.NO_SCORE / kernel.UNIT)  # of a song without notes
NEARLY_AS_GOOD = 0.9  # of the best score; other places of a song with this score are counted
THREADS = 2  # the kernel runs without the GIL; more threads gain little on users' machines
LEAST_FOR_THREADS = 50_000  # notes; fewer are aligned in less time than threads need to start


@dataclass(frozen=True, slots=True, eq=False)
class Passage:
    """A stretch of a song that matches a lick."""

    form: str
    score: float  # nats: alignment and prior of the form, without scales and tonics
    transposition: int  # half-steps from the lick up to the song
    pairs: NDArray[np.int32]  # shape (n_pairs, 2): note of the lick, note of the song as played


@dataclass(frozen=True, slots=True, eq=False)
class PassageScores:
    """How well a lick matches each song; arrays have shape (n_songs,)."""

    lick: Melody
    key: Key | None  # the lick's, if it is stated
    songs: NDArray[np.int64]  # their numbers
    ranking: NDArray[np.float32]  # nats: alignment, prior of the form, scales and tonics
    scores: NDArray[np.float32]  # the same without the tonics
    searched: Sequence[Form]
    pair_scores: Sequence[PairScores]  # of each form searched
    forms: NDArray[np.int8]  # the index of the best one among those searched
    transpositions: NDArray[np.int32]  # half-steps from the lick up to the song

    @property
    def shares(self) -> NDArray[np.float32]:
        """Return scores as shares of the lick's score with itself, negative ones too."""
        return self.scores / np.float32(score_of_itself(self.lick, self.key))


def score_of_itself(melody: Melody, key: Key | None = None) -> float:
    """Return a melody's score with itself, in nats, the most that it scores with any.

    Parameters
    ----------
    key : Key or None
        The melody's, to include the scores of scales.
    """
    scale = scale_classes(line_pitches(melody), key)
    of_notes = learned_tables().of_notes(melody.beat_strengths)
    return float((of_notes + learned_tables().of_scales(scale, scale)).sum())


class LickInForms(NamedTuple):
    """A lick as it is searched for in a catalogue, in each of several forms."""

    lick: Melody
    key: Key | None  # if it is stated
    bonus: NDArray[np.float64]  # shape (12,), see ``tonic_scores``
    forms: Sequence[Form]
    pair_scores: Sequence[PairScores]  # of each form


def in_forms(
    lick: Melody, songs: SongArrays, key: Key | None = None, forms: Sequence[Form] | None = None
) -> LickInForms:
    """Score a lick with every kind of note, in some forms; None for all that suit the lick."""
    tables, line, kinds = learned_tables(), lick_line(lick, key), kinds_of(songs)
    if forms is None:
        forms = forms_of(lick_is_rolled=sounds_rolled(lick))
    bonus = tonic_scores(lick.pitches, key, tables)
    of_forms = [pair_scores(line, kinds, form, tables) for form in forms]
    return LickInForms(lick, key, bonus, forms, of_forms)


def score_songs(
    lick: Melody,
    songs: SongArrays,
    selected: NDArray[np.int64],
    key: Key | None = None,
    *,
    forms: Sequence[Form] | None = None,
) -> PassageScores:
    """Score the whole lick anywhere in each song, in every form and at every transposition.

    Parameters
    ----------
    lick : Melody
        One note or more.
    selected : shape (n_selected,)
        The songs' numbers.
    key : Key or None
        The lick's key, if it is stated.
    forms : sequence of Form or None
        Those searched; None for all that suit the lick.
    """
    return score_in_forms(in_forms(lick, songs, key, forms), songs, selected)


def score_in_forms(
    lick: LickInForms, songs: SongArrays, selected: NDArray[np.int64]
) -> PassageScores:
    """Score a lick anywhere in each song, as ``score_songs``."""
    ranking = np.full(len(selected), NO_SCORE)
    best = np.zeros(len(selected), np.int8)
    transpositions = np.zeros(len(selected), np.int32)
    for number, (form, pairs) in enumerate(zip(lick.forms, lick.pair_scores, strict=True)):
        indices = np.flatnonzero(songs.song_textures[selected] >= form.least_texture)
        notes = song_notes(songs, form)
        found, shifts = scan_songs(notes, songs, selected[indices], pairs, lick.bonus)
        found += form.priors(songs.song_textures[selected[indices]])
        better = found > ranking[indices]
        ranking[indices[better]], transpositions[indices[better]] = found[better], shifts[better]
        best[indices[better]] = number
    tonics = songs.song_tonics[selected]
    met = np.where(tonics >= 0, in_units(lick.bonus)[(tonics - transpositions) % 12], 0)
    scores = ranking - (met / kernel.UNIT).astype(np.float32)
    return PassageScores(
        lick.lick, lick.key, selected, ranking, scores, lick.forms, lick.pair_scores, best,
        transpositions,
    )  # fmt: skip


def scan_songs(
    notes: kernel.Songs,
    songs: SongArrays,
    selected: NDArray[np.int64],
    scores: PairScores,
    bonus: NDArray[np.float64],
) -> tuple[NDArray[np.float32], NDArray[np.int32]]:
    """Align a lick with songs by one set of scores.

    Returns
    -------
    best : shape (n_selected,), float32
        Nats, bonus included.
    transpositions : shape (n_selected,), int32
    """
    best = np.empty(len(selected), np.int32)
    transpositions = np.empty(len(selected), np.int32)
    of_tonics = in_units(bonus).astype(scores.match.dtype)

    def scan(share: slice) -> None:
        kernel.best_scores(
            notes, selected[share], scores, int(Ends.SONG), of_tonics, songs.song_tonics,
            best[share], transpositions[share],
        )  # fmt: skip

    share_out(scan, np.diff(songs.first_notes)[selected])
    return (best / kernel.UNIT).astype(np.float32), transpositions


def share_out(scan: Callable[[slice], None], sizes: NDArray[np.int64]) -> None:
    """Scan songs in slices of about equally many notes, one for each thread.

    Parameters
    ----------
    scan : function
        Scans a slice of the songs.
    sizes : shape (n_songs,)
        How many notes each has.
    """
    notes_so_far = np.cumsum(sizes)
    n_notes = int(notes_so_far[-1]) if len(notes_so_far) else 0
    if n_notes < LEAST_FOR_THREADS:
        scan(slice(None))
    else:
        even = np.linspace(0, n_notes, THREADS + 1)[1:-1]
        bounds = [0, *np.searchsorted(notes_so_far, even).tolist(), len(sizes)]
        with ThreadPoolExecutor(THREADS) as threads:
            list(threads.map(scan, [slice(begin, end) for begin, end in pairwise(bounds)]))


def passages_of(
    found: PassageScores, index: int, songs: SongArrays, *, least: float | None = None
) -> list[Passage]:
    """Trace the passages of one song that score as well as its best, or nearly.

    Parameters
    ----------
    index : int
        The song's index in ``found``.
    least : float or None
        The share of the lick's score with itself that a passage needs; None for ``NEARLY_AS_GOOD``
        of the song's best.

    Returns
    -------
    list of Passage
        In the order played, not overlapping, each at its own transposition; all in the best form.
    """
    form, song = found.searched[int(found.forms[index])], int(found.songs[index])
    notes, scores = song_notes(songs, form), found.pair_scores[int(found.forms[index])]
    prior = float(form.priors(songs.song_textures[[song]])[0])
    best = float(found.scores[index])
    wanted = (
        best - (1 - NEARLY_AS_GOOD) * abs(best)
        if least is None
        else (least * score_of_itself(found.lick, found.key))
    )
    needed = kernel.UNIT * (wanted - prior) - 0.5
    pitches = notes.pitches[songs.notes_of(song)]
    lowest = int(pitches.min()) - int(scores.lick_pitches.max())
    highest = int(pitches.max()) - int(scores.lick_pitches.min())
    by_shift = scores_by_transposition(notes, song, scores, int(Ends.SONG), lowest, highest)
    ending: list[tuple[int, Passage]] = []
    for shift in (lowest + np.flatnonzero(by_shift >= needed)).tolist():
        totals, moves = paths.align(
            notes, song, scores, int(Ends.SONG), shift, paths.NONE_BARRED, apart=False
        )
        for end in np.flatnonzero(totals[-1, 1:] >= needed).tolist():
            path = paths.steps_of_path(moves, len(scores.lick_pitches), end + 1)
            pairs, total = paths.matched_notes(path), int(totals[-1, end + 1])
            if len(pairs):
                score = total / kernel.UNIT + prior - _score_of_scales(path, found, song, songs)
                ending.append((-total, Passage(form.name, score, shift, pairs)))
    kept: list[Passage] = []
    for _, passage in sorted(ending, key=lambda scored: scored[0]):
        if all(_apart(passage.pairs, other.pairs) for other in kept):
            kept.append(passage)
    return sorted(kept, key=lambda passage: int(passage.pairs[0, 1]))


def _score_of_scales(
    path: NDArray[np.int32], found: PassageScores, song: int, songs: SongArrays
) -> float:
    """Return the part of a path's score that scales contribute; nats."""
    matches = path[(paths.STEPS[path[:, 0]] > 0).all(axis=1)]
    own = lick_line(found.lick, found.key).scale[matches[:, 1]]
    other = songs.kind_scale[songs.kinds[songs.notes_of(song)][matches[:, 2]]]
    return float(learned_tables().of_scales(own, other).sum())


def _apart(pairs: NDArray[np.int32], other: NDArray[np.int32]) -> bool:
    return bool(pairs[-1, 1] < other[0, 1] or pairs[0, 1] > other[-1, 1])


def in_units(scores: NDArray[np.float64]) -> NDArray[np.int64]:
    """Round nats to the kernels' units; shape as given."""
    return np.rint(kernel.UNIT * scores).astype(np.int64)
