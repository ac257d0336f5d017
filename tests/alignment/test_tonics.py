"""The probability of each tonic, and the evidence of tonics that agree."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import note, stream

from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.tonics import tonic_probabilities, tonic_scores
from melodex.model.key import Key
from tests.strategies import pitch_lines

TABLES = learned_tables()
C_MAJOR = np.array([60, 62, 64, 65, 67, 69, 71, 72], np.int16)
A_MINOR = np.array([57, 60, 64, 62, 60, 59, 57, 64, 57], np.int16)


@given(line=pitch_lines())
def test_the_probabilities_of_all_tonics_add_up_to_one(line):
    probabilities = tonic_probabilities(line, TABLES)
    assert probabilities.shape == (12,)
    assert probabilities.sum() == pytest.approx(1)
    assert (probabilities >= 0).all()


@given(line=pitch_lines(min_size=1), up=st.integers(-24, 24))
def test_likely_tonics_move_with_the_notes(line, up):
    moved = tonic_probabilities(line + np.int16(up), TABLES)
    np.testing.assert_allclose(moved, np.roll(tonic_probabilities(line, TABLES), up), atol=1e-12)


@given(line=pitch_lines(min_size=1), octaves=st.integers(-2, 2))
def test_octaves_do_not_matter(line, octaves):
    there = tonic_probabilities(line + np.int16(12 * octaves), TABLES)
    np.testing.assert_array_equal(there, tonic_probabilities(line, TABLES))


def test_without_notes_all_tonics_are_equally_likely():
    none = tonic_probabilities(np.array([], np.int16), TABLES)
    np.testing.assert_allclose(none, 1 / 12)
    np.testing.assert_allclose(tonic_scores(np.array([], np.int16), None, TABLES), 0, atol=1e-12)


@pytest.mark.parametrize("line", [C_MAJOR, A_MINOR, C_MAJOR + 5, A_MINOR - 3])
def test_the_likeliest_tonic_is_the_one_that_krumhansls_profiles_find(line):
    # Source: music21 10, Krumhansl & Kessler's profiles.
    witness = stream.Stream([note.Note(int(pitch)) for pitch in line]).analyze("Krumhansl")
    assert tonic_probabilities(line, TABLES).argmax() == witness.tonic.pitchClass


def test_the_probability_follows_bayes_rule_over_both_modes():
    by_hand = [
        sum(
            math.exp(sum(TABLES.degrees[mode][(int(pitch) - tonic) % 12] for pitch in C_MAJOR))
            for mode in (0, 1)
        )
        for tonic in range(12)
    ]
    expected = np.array(by_hand) / sum(by_hand)
    np.testing.assert_allclose(tonic_probabilities(C_MAJOR, TABLES), expected, rtol=1e-9)


@given(line=pitch_lines(min_size=1))
def test_a_stated_key_is_believed_whatever_the_notes(line):
    scores = tonic_scores(line, Key("Eb", "major"), TABLES)
    meets, misses = TABLES.tonics_meet, 1 - TABLES.tonics_meet
    assert scores[3] == pytest.approx(math.log(misses + 12 * meets))
    others = np.delete(scores, 3)
    np.testing.assert_allclose(others, math.log(misses))


def test_a_key_without_a_tonic_is_as_none():
    np.testing.assert_array_equal(
        tonic_scores(C_MAJOR, Key("", "major"), TABLES), tonic_scores(C_MAJOR, None, TABLES)
    )


@given(line=pitch_lines())
def test_scores_are_log_odds_against_tonics_that_fall_anywhere(line):
    # Over a tonic that is as often on each pitch class the likelihood ratio's mean is 1.
    assert np.exp(tonic_scores(line, None, TABLES)).mean() == pytest.approx(1)
