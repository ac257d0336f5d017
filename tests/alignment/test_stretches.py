"""Laws of the stretches in which two melodies answer each other."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.alignment.stretches import matching_stretches
from tests.strategies import melodies, melody_of, transposed

lines = melodies(max_notes=20, pitches=st.integers(58, 68))


def found(one, other, least_score=2.0):
    return list(matching_stretches(one, other, least_score=least_score))


@given(one=lines, other=lines)
def test_stretches_come_best_first_and_reach_the_least_score(one, other):
    scores = [stretch.log_odds for stretch in found(one, other)]
    assert all(before >= after for before, after in pairwise(scores))
    assert all(score >= LEAST for score in scores)


@given(one=lines, other=lines)
def test_no_pair_lies_within_both_places_of_a_better_stretch(one, other):
    for better, lesser in combinations(found(one, other), 2):
        place, answer = better.places
        assert not any(note in place and other in answer for note, other in lesser.pairs.tolist())


@given(one=lines, other=lines, up=st.integers(-12, 12))
def test_transposing_a_melody_moves_the_transposition_alone(one, other, up):
    expected = [(s.transposition + up, s.log_odds, s.pairs.tolist()) for s in found(one, other)]
    moved = found(one, transposed(other, up))
    assert [(s.transposition, s.log_odds, s.pairs.tolist()) for s in moved] == expected


@given(line=melodies(min_notes=2))
def test_a_melody_answers_its_equal_whole(line):
    equal = transposed(line, 0)
    best = found(line, equal)[0]
    assert best.log_odds == pytest.approx(len(line))
    assert best.pairs.tolist() == [[note, note] for note in range(len(line))]


@given(line=lines)
def test_within_one_melody_a_stretch_ends_before_its_answer_begins(line):
    for stretch in found(line, line):
        place, answer = stretch.places
        assert place.stop <= answer.start


def test_a_note_struck_twice_answers_one_and_counts_once():
    one = melody_of(60, 64, 67, durations=[1, 2, 1])
    other = melody_of(60, 64, 64, 67, durations=[1, 1, 1, 1])
    (stretch,) = found(one, other)
    assert stretch.pairs.tolist() == [[0, 0], [1, 1], [1, 2], [2, 3]]
    assert stretch.matched == 3
