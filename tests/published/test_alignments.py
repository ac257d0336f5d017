"""Textbook alignments of letters, by the kernels that align notes."""

import numpy as np
import pytest

from melodex.kernels import local_alignment

# No two pairs of letters are equally far apart, so a transposition can match one pair at most.
PITCH_OF = {"A": 60, "C": 61, "G": 64, "T": 66}


def pitches_of(letters):
    return np.array([PITCH_OF[letter] for letter in letters], np.int32)


def match_or_not(reach):
    table = np.zeros(2 * reach + 1, np.float32)
    table[reach] = 1
    return table


def test_smith_and_waterman_align_tgttacgg_at_13():
    # Source: the method of Smith & Waterman, J. Mol. Biol. 147 (1981), on a worked example often
    # taught: +3, -3, linear gap 2; recomputed. Here a match is worth 1, so all is a third.
    letters = ("TGTTACGG", "GGTTGACTA")
    one, other = (
        local_alignment.Notes(pitches_of(row), np.full(len(row), 2 / 3, np.float32))
        for row in letters
    )
    alike = np.ones((8, 9), np.float32)
    rules = local_alignment.Rules(match_or_not(1), np.float32(1e6), alike, alike, alike)
    totals, moves = local_alignment.align_stretches(
        one, other, 0, rules, np.zeros((8, 9), np.bool_), False
    )
    assert 3 * totals.max() == pytest.approx(13)
    i, j = np.unravel_index(totals.argmax(), totals.shape)
    pairs, answered = local_alignment.answering_stretch(moves, int(i), int(j))
    assert answered == 5
    assert ["TGTTACGG"[note] for note in pairs[:, 0]] == list("GTTAC")
    assert ["GGTTGACTA"[note] for note in pairs[:, 1]] == list("GTTAC")
