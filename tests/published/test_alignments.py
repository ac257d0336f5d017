"""Textbook alignments of letters, by the kernels that align notes."""

import numpy as np
import pytest

from melodex.kernels import alignment_paths as paths
from melodex.kernels.pair_alignment import Ends
from tests.reference.pair_hmm import Note, Scores
from tests.reference.pair_notes import Case, kernel_scores, kernel_songs, scan

# No two pairs of letters have equal distances, so a transposition can match one pair at most.
PITCH_OF = {"A": 60, "C": 61, "G": 64, "T": 66}
NEVER = -1000


def letters(one, other, *, match, mismatch, gap, further=None):
    """Return scores of letters against letters; nothing is split."""
    row = [0] * len(one)
    further = gap if further is None else further
    scores = Scores(
        pitch=[mismatch, match, mismatch],
        match=[row],
        split=[[NEVER] * len(one)],
        joined=[[NEVER] * len(one)],
        lick_gaps=[[gap] * len(one), [further] * len(one)],
        song_gaps=[[[gap] * (len(one) + 1)], [[further] * (len(one) + 1)]],
    )
    return Case(
        [PITCH_OF[letter] for letter in one],
        scores,
        [[Note(PITCH_OF[letter], 0, 0) for letter in other]],
    )


def matched(case, ends):
    """Return the best total as written, and the matched pairs of letters."""
    totals, moves = paths.align(
        kernel_songs(case.book),
        0,
        kernel_scores(case.lick, case.scores),
        int(ends),
        0,
        paths.NONE_BARRED,
        apart=False,
    )
    end = totals.shape if ends == Ends.NONE else np.unravel_index(totals.argmax(), totals.shape)
    i, j = (int(place) for place in end)
    if ends == Ends.NONE:
        i, j = i - 1, j - 1
    return int(totals[i, j]), paths.matched_notes(paths.steps_of_path(moves, i, j)).tolist()


def test_needleman_and_wunsch_align_gattaca_at_0():
    # Source: the method of Needleman & Wunsch, J. Mol. Biol. 48 (1970), on a worked example often
    # taught: +1, -1, gaps -1, GATTACA with GCATGCG; recomputed.
    case = letters("GATTACA", "GCATGCG", match=1, mismatch=-1, gap=-1)
    assert scan(case, Ends.NONE) == [(0, 0)]
    total, _ = matched(case, Ends.NONE)
    assert total == 0


def test_smith_and_waterman_align_tgttacgg_at_13():
    # Source: the method of Smith & Waterman, J. Mol. Biol. 147 (1981), on a worked example often
    # taught: +3, -3, linear gap 2; recomputed.
    case = letters("TGTTACGG", "GGTTGACTA", match=3, mismatch=-3, gap=-2)
    assert scan(case, Ends.BOTH) == [(13, 0)]
    total, pairs = matched(case, Ends.BOTH)
    assert total == 13
    assert ["TGTTACGG"[own] for own, _ in pairs] == list("GTTAC")
    assert ["GGTTGACTA"[other] for _, other in pairs] == list("GTTAC")


@pytest.mark.parametrize(("gap", "further", "expected"), [(-3, -3, -1), (-3, -1, 3), (-5, -1, 1)])
def test_gotohs_gaps_cost_most_at_their_first_letter(gap, further, expected):
    # Source: the recurrence of Gotoh, J. Mol. Biol. 162 (1982): a gap of k letters costs u k + v.
    # ACGT is the first two and the last two letters of ACAAAGT: four matches, a gap of three.
    case = letters("ACGT", "ACAAAGT", match=2, mismatch=-9, gap=gap, further=further)
    assert scan(case, Ends.NONE) == [(expected, 0)]
    total, pairs = matched(case, Ends.NONE)
    assert total == expected
    assert pairs == [[0, 0], [1, 1], [2, 5], [3, 6]]


def test_a_query_fitted_into_a_text_leaves_the_texts_ends_out():
    # Source: fitting alignment, Sellers, J. Algorithms 1 (1980), method from memory; by hand: TAC
    # with TTGACGG is T-AC in TGAC, three matches and one gap.
    case = letters("TAC", "TTGACGG", match=1, mismatch=-1, gap=-1)
    assert scan(case, Ends.SONG) == [(2, 0)]
    total, pairs = matched(case, Ends.SONG)
    assert total == 2
    assert pairs == [[0, 1], [1, 3], [2, 4]]
