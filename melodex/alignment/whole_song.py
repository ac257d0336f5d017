"""One whole song against others: how much alike they are, and at which transposition.

Songs are compared as written, so repeats count once; one that a book writes out is a gap. A song in
rolls is also compared by the notes that carry its melody.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex.alignment.forms import INSIDE_A_ROLL, MELODY_OF_A_ROLL, RHYTHMS, Form
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.pair_scores import (
    LARGEST_16,
    LEAST_16,
    in_16_bits,
    most_permissive,
    pair_scores,
)
from melodex.alignment.written_notes import WholeSongs
from melodex.features.skeleton import Texture
from melodex.kernels.lane_columns import PairScores
from melodex.kernels.pair_alignment import NO_SCORE, UNIT, Songs
from melodex.kernels.pitch_content import most_of_pairs, upper_bounds
from melodex.kernels.whole_alignment import scan_whole_songs

THREADS = 2  # the kernels run without the GIL
# Songs bounded by one alignment, and songs aligned in every form, before the score to beat is
# updated. Those that share most stretches of ``GRAM`` intervals are bounded first.
BOUNDED_AT_ONCE, ALIGNED_AT_ONCE = 1024, 64
# Songs that a thread takes at a time; with one half for each, the faster thread would be idle.
SONGS_IN_A_SHARE = 64
IN_TOTAL = 2 * UNIT  # a nat, in the sum of two scores


@dataclass(frozen=True, slots=True, eq=False)
class WholeSongScores:
    """The likeness of one song and others; every array has shape (n_songs,), best first."""

    songs: NDArray[np.int64]
    scores: NDArray[np.float32]  # 1 for the same song in any key; below 0 for most pairs
    transpositions: NDArray[np.int32]  # half-steps up to the other song


class _Query(NamedTuple):
    """One song in one form, or with the maximum of the scores of several."""

    songs: Songs
    scores: PairScores  # in 32 bits
    prior: float


class _Forms(NamedTuple):
    """Forms that apply to the same songs."""

    bound: _Query  # an upper bound of all forms
    queries: Sequence[_Query]
    indices: NDArray[np.intp]  # of the songs among the selected


def most_alike(
    song: int,
    songs: WholeSongs,
    selected: NDArray[np.int64],
    *,
    limit: int | None,
    above: float | None = None,
) -> WholeSongScores:
    """Find the songs most like one, at every transposition; ties by song number.

    In each form, the score of two songs is the mean of their score as a whole and that of their
    best common stretch, plus the form's prior; the best form counts, as a share of the lower of the
    songs' scores with themselves.

    Exact: songs and transpositions are skipped only if an upper bound keeps them from the best.

    Parameters
    ----------
    song : int
        The song's number.
    selected : shape (n_selected,)
        Numbers of the songs it is compared with; those without notes come last.
    limit : int or None
        How many songs at most; None for all.
    above : float or None
        Only songs with a higher score, which is much faster than scoring all; None for every one.
    """
    wanted = len(selected) if limit is None else min(limit, len(selected))
    to_beat = np.float32(NO_SCORE if above is None else above)
    if not wanted:
        return WholeSongScores(selected, np.empty(0, np.float32), np.empty(0, np.int32))
    with ThreadPoolExecutor(THREADS) as threads:
        scan = _Scan(song, songs, selected, wanted, to_beat, threads)
        if songs.sizes[song]:
            for forms in _forms(song, songs, selected):
                scan.raise_scores(forms)
    first = np.lexsort((selected, -scan.scores))[:wanted]
    if above is not None:
        first = first[scan.scores[first] > to_beat]
    return WholeSongScores(selected[first], scan.scores[first], scan.transpositions[first])


def _forms(song: int, songs: WholeSongs, selected: NDArray[np.int64]) -> Iterator[_Forms]:
    """Yield forms with their songs: all, those in rolls, all again if ``song`` is in rolls."""
    has_notes = songs.sizes[selected] > 0
    in_rolls = songs.textures >= Texture.ROLLED
    for forms, applies in (
        (RHYTHMS, has_notes),
        ((INSIDE_A_ROLL,), has_notes & in_rolls[selected]),
        ((MELODY_OF_A_ROLL,), has_notes & in_rolls[song]),
    ):
        if applies.any():
            queries = [_query(song, songs, form) for form in forms]
            scores = most_permissive([query.scores for query in queries])
            bound = _Query(queries[0].songs, scores, max(query.prior for query in queries))
            yield _Forms(bound, queries, np.flatnonzero(applies))


def _query(song: int, songs: WholeSongs, form: Form) -> _Query:
    line = songs.line_of(song, in_rolls=form.lick_in_rolls)
    return _Query(
        songs=Songs(
            songs.first_notes,
            songs.pitches_in(rolls=form.song_in_rolls),
            songs.note_kinds,
            songs.joined_kinds,
        ),
        scores=pair_scores(line, songs.kinds, form, learned_tables(), np.int32),
        prior=form.prior_of_rolls,  # forms for rolls apply to songs in rolls alone
    )


class _Scan:
    """The scores of the selected songs so far, and how to raise them."""

    def __init__(
        self,
        song: int,
        songs: WholeSongs,
        selected: NDArray[np.int64],
        wanted: int,
        to_beat: np.float32,
        threads: ThreadPoolExecutor,
    ) -> None:
        """Start every song at the score to beat; at least one song must be wanted."""
        self.selected, self.wanted, self.threads = selected, wanted, threads
        self.scores = np.full(len(selected), to_beat, np.float32)
        self.transpositions = np.zeros(len(selected), np.int32)
        self.floor = self._last_wanted()
        self.sizes = songs.sizes[selected]
        of_songs = songs.scores_of_themselves()
        self.shared_grams = songs.shared_grams(song)[selected]
        self.of_itself = np.minimum(of_songs[selected], of_songs[song])  # nats

    def raise_scores(self, forms: _Forms) -> None:
        """Raise the scores of songs that a form fits better, the likeliest songs first."""
        indices, bound = forms.indices, forms.bound
        totals = np.empty(len(indices), np.int32)
        upper_bounds(
            bound.songs, self.selected[indices], bound.scores.lick_pitches,
            most_of_pairs(bound.scores), totals,
        )  # fmt: skip
        bounds = self._shares(totals, indices, bound.prior)
        by_grams = np.argsort(-self.shared_grams[indices], kind="stable")
        self._raise_likely(forms, indices[by_grams[:BOUNDED_AT_ONCE]])
        others = by_grams[BOUNDED_AT_ONCE:]
        others = others[np.argsort(-bounds[others], kind="stable")]
        for begin in range(0, len(others), BOUNDED_AT_ONCE):
            chunk = others[begin : begin + BOUNDED_AT_ONCE]
            if bounds[chunk[0]] < self.floor:
                break
            self._raise_likely(forms, indices[chunk])

    def _raise_likely(self, forms: _Forms, indices: NDArray[np.intp]) -> None:
        totals, _ = self._totals(forms.bound, indices)
        bounds = self._shares(totals, indices, forms.bound.prior)
        by_bound = np.argsort(-bounds, kind="stable")
        for begin in range(0, len(indices), ALIGNED_AT_ONCE):
            likely = by_bound[begin : begin + ALIGNED_AT_ONCE]
            if bounds[likely[0]] < self.floor:
                break
            for query in forms.queries:
                in_form = self._shares(totals[likely], indices[likely], query.prior)
                fits = in_form >= self._least(indices[likely])
                if fits.any():
                    self._raise(query, indices[likely[fits]])

    def _raise(self, query: _Query, indices: NDArray[np.intp]) -> None:
        totals, shifts = self._totals(query, indices)
        found = self._shares(totals, indices, query.prior)
        better = found > self.scores[indices]
        self.scores[indices[better]] = found[better]
        self.transpositions[indices[better]] = shifts[better]
        self.floor = self._last_wanted()

    def _last_wanted(self) -> np.float32:
        """Return the score needed to be among the best."""
        return np.float32(np.partition(self.scores, -self.wanted)[-self.wanted])

    def _least(self, indices: NDArray[np.intp]) -> NDArray[np.float32]:
        """Return the least scores that would change the result."""
        return np.maximum(self.scores[indices], self.floor)

    def _shares(
        self, totals: NDArray[np.int32], indices: NDArray[np.intp], prior: float
    ) -> NDArray[np.float32]:
        shares = (totals / IN_TOTAL + prior) / self.of_itself[indices]
        at_least: NDArray[np.float32] = np.maximum(shares, NO_SCORE).astype(np.float32)
        return at_least

    def _totals(
        self, query: _Query, indices: NDArray[np.intp]
    ) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
        """Align a query with songs in threads, in 16 bits where scores cannot overflow."""
        scores, most = query.scores, most_of_pairs(query.scores)
        least = self._least(indices) * self.of_itself[indices] - query.prior
        needed = np.maximum(np.floor(IN_TOTAL * least) - 1, NO_SCORE).astype(np.int32)
        totals, shifts = np.empty(len(indices), np.int32), np.empty(len(indices), np.int32)

        def scan(work: tuple[NDArray[np.intp], PairScores]) -> None:
            share, scores = work
            found, at = np.empty(len(share), np.int32), np.empty(len(share), np.int32)
            numbers = self.selected[indices[share]]
            scan_whole_songs(query.songs, numbers, scores, most, needed[share], found, at)
            totals[share], shifts[share] = found, at

        small = _fit_in_16_bits(scores, most.same, self.sizes[indices])
        both = ((small, in_16_bits(scores)), (~small, scores))
        shares: list[tuple[NDArray[np.intp], PairScores]] = [
            (share, fitting) for fits, fitting in both for share in _shares_of(np.flatnonzero(fits))
        ]
        list(self.threads.map(scan, shares))
        return totals, shifts


def _shares_of(indices: NDArray[np.intp]) -> Sequence[NDArray[np.intp]]:
    """Divide indices of songs among the threads."""
    if not len(indices):
        return ()
    return np.array_split(
        indices, max(min(THREADS, len(indices)), len(indices) // SONGS_IN_A_SHARE)
    )


def _fit_in_16_bits(
    scores: PairScores, of_pair: int, sizes: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Return for songs of each size whether no path overflows 16 bits.

    The best path pairs every note, the worst leaves out all notes of both melodies.
    """
    n_lick = len(scores.lick_pitches)
    worst = min(int(scores.lick_gaps[1].min()), int(scores.song_gaps[1].min()))
    opening = int(scores.lick_gaps.min()) + int(scores.song_gaps.min())
    fits: NDArray[np.bool_] = (opening + worst * (sizes + n_lick) >= LEAST_16) & (
        np.minimum(sizes, n_lick) * of_pair <= LARGEST_16
    )
    return fits
