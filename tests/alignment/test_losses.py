"""Bounds by losses, in bytes, against the scores of the slow twin."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.losses import losses_of
from melodex.kernels.lane_columns import MOST_LOST
from melodex.kernels.least_losses import best_of_losses
from melodex.kernels.pair_alignment import NO_SCORE, Ends
from tests.reference.pair_notes import cases, kernel_scores, kernel_songs, scan

bonuses = st.lists(st.integers(-50, 50), min_size=12, max_size=12)


def bounds_of(case, least, *, bonus=(0,) * 12, tonics=None, number=np.int16):
    """Return the most that a lick can score in each song, by the compiled scan in bytes."""
    lost = losses_of(kernel_scores(case.lick, case.scores, number), least)
    unknown = [-1] * len(case.book)
    best = np.full(len(case.book), 7, np.int32)
    best_of_losses(
        kernel_songs(case.book),
        np.arange(len(case.book)),
        lost.losses,
        lost.in_steps(np.array(bonus, np.int64)),
        np.array(unknown if tonics is None else tonics, np.int8),
        best,
    )
    return lost.in_units(best).tolist(), lost.most


@given(case=cases(least_notes=1))
def test_in_steps_of_one_unit_a_bound_is_the_score(case):
    _, most = bounds_of(case, 0)
    bounds, _ = bounds_of(case, most - MOST_LOST + 1)
    expected = [max(score, most - MOST_LOST) for score, _ in scan(case, Ends.SONG)]
    assert bounds == expected


@given(case=cases(least_notes=1), least=st.integers(-3000, 1000), bonus=bonuses)
def test_no_song_scores_more_than_its_bound(case, least, bonus):
    tonics = [(5 * place - 1) % 13 - 1 for place in range(len(case.book))]
    bounds, _ = bounds_of(case, least, bonus=bonus, tonics=tonics)
    scores = scan(case, Ends.SONG, bonus=bonus, tonics=tonics)
    assert all(bound >= score for bound, (score, _) in zip(bounds, scores, strict=True))


@given(case=cases(least_notes=1), least=st.integers(-3000, 1000))
def test_a_bound_is_at_most_a_step_a_note_above_a_score_of_the_least_or_more(case, least):
    bounds, most = bounds_of(case, least)
    step = max(1, most - least + 1) / MOST_LOST
    for bound, (score, _), song in zip(bounds, scan(case, Ends.SONG), case.book, strict=True):
        # A pair is rounded twice, by its pitch and by its rhythm.
        assert bound <= max(score, least) + 2 * step * (len(case.lick) + len(song))


@given(case=cases(least_notes=1), least=st.integers(-3000, 1000))
def test_scores_in_16_and_in_32_bits_have_the_same_bounds(case, least):
    assert bounds_of(case, least) == bounds_of(case, least, number=np.int32)


@given(case=cases())
def test_a_song_without_notes_is_below_every_score(case):
    lost = losses_of(kernel_scores(case.lick, case.scores), 0)
    best = np.zeros(1, np.int32)
    empty = case._replace(book=[[]])
    best_of_losses(
        kernel_songs(empty.book), np.arange(1), lost.losses, np.zeros(12, np.int64),
        np.array([-1], np.int8), best,
    )  # fmt: skip
    assert best[0] == NO_SCORE
