"""Random licks, songs and scores for the pair alignment, plain and as its kernels take them."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from hypothesis import strategies as st

from melodex.kernels import pair_alignment as kernel
from melodex.kernels.lane_columns import PairScores
from tests.reference.pair_hmm import Note, Scores

KINDS = 3
REACH = 3  # largest difference in half-steps that random scores depend on
NO_BONUS = np.zeros(12, np.int32)


class Case(NamedTuple):
    """A lick, its scores, and songs."""

    lick: list[int]
    scores: Scores
    book: list[list[Note]]


_pitches = st.integers(58, 64)  # few, so that notes repeat
_notes = st.builds(Note, _pitches, st.integers(0, KINDS - 1), st.integers(0, KINDS - 1))


def lines_of_notes(*, least: int = 0, most: int = 8) -> st.SearchStrategy[list[Note]]:
    """Random songs."""
    return st.lists(_notes, min_size=least, max_size=most)


def _rows(width: int, least: int, most: int, rows: int) -> st.SearchStrategy[list[list[int]]]:
    row = st.lists(st.integers(least, most), min_size=width, max_size=width)
    return st.lists(row, min_size=rows, max_size=rows)


@st.composite
def cases(draw: st.DrawFn, *, least_notes: int = 0) -> Case:
    """Draw a lick of up to seven notes and up to three songs."""
    lick = draw(st.lists(_pitches, min_size=1, max_size=7))
    n = len(lick)
    scores = Scores(
        pitch=draw(st.lists(st.integers(-40, 60), min_size=2 * REACH + 1, max_size=2 * REACH + 1)),
        match=draw(_rows(n, -40, 40, KINDS)),
        split=draw(_rows(n, -60, 40, KINDS)),
        joined=draw(_rows(n, -60, 40, KINDS)),
        lick_gaps=draw(_rows(n, -90, -1, 2)),
        song_gaps=[draw(_rows(n + 1, -90, -1, KINDS)) for _ in range(2)],
    )
    book = draw(st.lists(lines_of_notes(least=least_notes), min_size=1, max_size=3))
    return Case(lick, scores, book)


def kernel_songs(book: Sequence[Sequence[Note]]) -> kernel.Songs:
    """Return songs laid out for the kernels."""
    notes = [note for song in book for note in song]
    return kernel.Songs(
        first=np.cumsum([0, *map(len, book)], dtype=np.int64),
        pitches=np.array([note.pitch for note in notes], np.int16),
        kinds=np.array([note.kind for note in notes], np.uint16),
        joined_kinds=np.array([note.joined_kind for note in notes], np.uint16),
    )


def kernel_scores(
    lick: Sequence[int], scores: Scores, number: type[np.signedinteger] = np.int16
) -> PairScores:
    """Return a lick's scores laid out for the kernels."""
    repeated = np.diff(lick, prepend=-1) == 0
    joined = np.where(repeated, scores.joined, kernel.unreached_in(number))
    return PairScores(
        lick_pitches=np.array(lick, np.int16),
        pitch=np.array(scores.pitch, number),
        match=np.array(scores.match, number),
        split=np.array(scores.split, number),
        joined=joined.astype(number),
        lick_gaps=np.array(scores.lick_gaps, number),
        song_gaps=np.array(scores.song_gaps, number),
    )


def transpositions_of(lick: Sequence[int], song: Sequence[Note]) -> range:
    """Return every transposition at which lick and song overlap in pitch."""
    pitches = [note.pitch for note in song]
    return range(min(pitches) - max(lick), max(pitches) - min(lick) + 1)


def scan(
    case: Case,
    ends: kernel.Ends,
    number: type[np.signedinteger] = np.int16,
    *,
    selected: Sequence[int] | None = None,
    bonus: Sequence[int] = (0,) * 12,
    tonics: Sequence[int] | None = None,
) -> list[tuple[int, int]]:
    """Return each selected song's best score and transposition by the compiled scan."""
    chosen = np.array(range(len(case.book)) if selected is None else selected, np.int64)
    best, shifts = np.full(len(chosen), 7, np.int32), np.full(len(chosen), 7, np.int32)
    kernel.best_scores(
        kernel_songs(case.book),
        chosen,
        kernel_scores(case.lick, case.scores, number),
        int(ends),
        np.array(bonus, number),
        np.array(tonics if tonics is not None else [-1] * len(case.book), np.int8),
        best,
        shifts,
    )
    return list(zip(best.tolist(), shifts.tolist(), strict=True))
