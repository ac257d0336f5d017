"""Textbook alignments of letters, by the kernels that align notes."""

import numpy as np

from melodex.kernels import whole_song
from melodex.kernels.alignment_paths import NONE_BARRED, align, matched_notes, steps_of_path
from melodex.kernels.pair_alignment import Ends, PairScores, Songs, unreached_in

# No two pairs of letters are equally far apart, so a transposition can match one pair at most.
PITCH_OF = {"A": 60, "C": 61, "G": 64, "T": 66}


def pitches_of(letters):
    return np.array([PITCH_OF[letter] for letter in letters], np.int32)


def match_or_not(reach):
    table = np.zeros(2 * reach + 1, np.float32)
    table[reach] = 1
    return table


def test_needleman_and_wunsch_align_gattaca_at_0():
    # Source: the method of Needleman & Wunsch, J. Mol. Biol. 48 (1970), on a worked example often
    # taught: +1, -1, gaps -1, GATTACA with GCATGCG; recomputed.
    own, other = pitches_of("GATTACA"), pitches_of("GCATGCG")
    scores, shifts = np.empty(1, np.float32), np.empty(1, np.int32)
    whole_song.scan_songs(
        whole_song.Line(other, np.ones(7, np.float32)),
        np.array([0, 7]),
        np.array([0]),
        whole_song.Line(own, np.ones(7, np.float32)),
        whole_song.WholeRules(
            match_or_not(whole_song.REACH), np.float32(0), np.float32(1), np.float32(1)
        ),
        np.float32(-np.inf),
        scores,
        shifts,
    )
    assert (scores[0], shifts[0]) == (0, 0)


def test_smith_and_waterman_align_tgttacgg_at_13():
    # Source: the method of Smith & Waterman, J. Mol. Biol. 147 (1981), on a worked example often
    # taught: +3, -3, linear gap 2; recomputed.
    one, other = "TGTTACGG", "GGTTGACTA"
    alike = np.zeros((1, len(one)), np.int32)
    never = np.full_like(alike, unreached_in(np.int32))
    of_one_kind = np.zeros(len(other), np.uint16)
    totals, moves = align(
        Songs(
            np.array([0, len(other)]), pitches_of(other).astype(np.int16), of_one_kind, of_one_kind
        ),
        0,
        PairScores(
            lick_pitches=pitches_of(one).astype(np.int16),
            pitch=np.array([-3, 3, -3], np.int32),
            match=alike,
            split=never,
            joined=never,
            lick_gaps=np.full((2, len(one)), -2, np.int32),
            song_gaps=np.full((2, 1), -2, np.int32),
        ),
        Ends.BOTH,
        0,
        NONE_BARRED,
        False,
    )
    assert totals.max() == 13
    i, j = np.unravel_index(totals.argmax(), totals.shape)
    pairs = matched_notes(steps_of_path(moves, int(i), int(j)))
    assert [one[note] for note in pairs[:, 0]] == list("GTTAC")
    assert [other[note] for note in pairs[:, 1]] == list("GTTAC")
