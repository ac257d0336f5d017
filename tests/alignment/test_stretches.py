"""Laws of the stretches that two melodies have in common."""

from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from melodex.alignment.forms import FORMS
from melodex.alignment.learned_tables import learned_tables
from melodex.alignment.stretches import matching_stretches
from tests.strategies import in_tempo, melodies, melody_of, transposed

LEAST = 4.0
OF_SAME_NOTE = learned_tables().of_same_note
lines = melodies(max_notes=20, pitches=st.integers(58, 68))


def rolled_on(plain):
    """Put each half note of a melody on the beats of a roll, as tab."""
    rolled = melody_of(
        *(pitch for note in plain.pitches.tolist() for pitch in (note, 62, 67, 62)),
        durations=[0.5] * 24,
        beat_strengths=[1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 3,
    )
    return replace(rolled, strings=np.array([3, 1, 5, 1] * 6, np.int8))


def found(one, other, least_score=LEAST):
    return list(matching_stretches(one, other, least_score=least_score))


@given(one=lines, other=lines)
def test_stretches_come_best_first_and_reach_the_least_score(one, other):
    scores = [stretch.log_odds for stretch in found(one, other)]
    assert all(before >= after for before, after in pairwise(scores))
    assert all(score >= LEAST for score in scores)


@given(one=lines, other=lines)
@example(  # a stretch that was traced before a better one took a part of it
    one=melody_of(61, 61, 63, 60), other=melody_of(62, 61, 61, 63, 60, 61, 60, 60, 61)
)
def test_no_pair_lies_within_both_places_of_a_better_stretch(one, other):
    for better, lesser in combinations(found(one, other), 2):
        place, counterpart = better.places
        assert not any(
            note in place and other in counterpart for note, other in lesser.pairs.tolist()
        )


def test_a_figure_that_both_have_twice_in_a_row_is_no_further_stretch_of_the_whole():
    figure = [60, 67, 62, 69, 64, 71]
    best, *others = found(melody_of(*figure * 2), melody_of(*figure * 2))
    assert best.places == (range(12), range(12))
    assert others == []


def test_a_stretch_that_scores_exactly_the_least_is_found():
    figure = [60, 67, 62, 69, 64, 71]
    one, other = melody_of(*figure), melody_of(*figure)
    of_itself = len(figure) * OF_SAME_NOTE
    assert [s.log_odds for s in found(one, other, least_score=of_itself)] == [of_itself]
    assert found(one, other, least_score=of_itself + 1 / 64) == []


@given(one=lines, other=lines, up=st.integers(-12, 12))
def test_transposing_a_melody_moves_the_transposition_alone(one, other, up):
    expected = [(s.transposition + up, s.log_odds, s.pairs.tolist()) for s in found(one, other)]
    moved = found(one, transposed(other, up))
    assert [(s.transposition, s.log_odds, s.pairs.tolist()) for s in moved] == expected


@given(line=melodies(min_notes=2))
def test_a_melody_matches_its_equal_whole_with_score_1(line):
    equal = transposed(line, 0)
    best = found(line, equal)[0]
    assert (best.form, best.score) == ("as written", 1)
    assert best.log_odds == pytest.approx(len(line) * OF_SAME_NOTE)
    assert best.pairs.tolist() == [[note, note] for note in range(len(line))]


@pytest.mark.parametrize(("form", "factor"), [("doubled", 2.0), ("halved", 0.5)])
def test_other_note_values_cost_exactly_the_prior_of_their_form(form, factor):
    # Beats stand where they are in both, as when a song in 4/4 is written in 2/2.
    line = melody_of(60, 64, 62, 67, 65, 69, 64, 60)
    strengths = [0.25, 0.125] * 4
    of_itself = len(line) * OF_SAME_NOTE
    one = replace(line, beat_strengths=np.array(strengths))
    other = replace(in_tempo(line, factor), beat_strengths=np.array(strengths) * factor)
    best = found(one, other)[0]
    prior = {each.name: each.prior for each in FORMS}[form]
    assert best.form == form
    assert best.score == pytest.approx(1 + prior / of_itself)


@given(one=lines, other=lines)
def test_no_stretch_scores_more_than_1(one, other):
    assert all(0 < stretch.score <= 1 for stretch in found(one, other))


@given(one=lines, other=lines)
def test_exchanging_the_melodies_mirrors_the_best_stretch(one, other):
    there, back = (found(*pair)[:1] for pair in ((one, other), (other, one)))
    assert [s.log_odds for s in back] == [s.log_odds for s in there]


def test_the_melody_of_a_roll_is_found_from_either_side():
    plain = melody_of(55, 59, 57, 62, 60, 55, durations=[2] * 6, beat_strengths=[1, 0.5] * 3)
    rolled = rolled_on(plain)
    inside, around = found(plain, rolled)[0], found(rolled, plain)[0]
    assert (inside.form, around.form) == ("inside a roll", "melody of the roll")
    assert inside.pairs.tolist() == [[note, 4 * note] for note in range(6)]
    assert around.pairs.tolist() == inside.pairs[:, ::-1].tolist()
    assert inside.log_odds == around.log_odds
    assert inside.score == around.score


def test_the_melody_that_the_thumb_plays_in_pinches_is_found_from_either_side():
    plain = melody_of(55, 59, 57, 62, 60, 55, durations=[2] * 6, beat_strengths=[1, 0.5] * 3)
    rolled = rolled_on(plain)
    beats = np.arange(0, 24, 4, dtype=np.int32)
    pitches, strings = rolled.pitches.copy(), rolled.strings.copy()
    pitches[beats], strings[beats] = 86, 1
    pinched = replace(
        rolled,
        pitches=pitches,
        strings=strings,
        chord_tones=replace(
            rolled.chord_tones,
            notes=beats,
            pitches=plain.pitches,
            strings=np.full(6, 3, np.int8),
            frets=np.zeros(6, np.int8),
        ),
    )
    inside, around = found(plain, pinched)[0], found(pinched, plain)[0]
    assert inside.pairs.tolist() == [[note, 4 * note] for note in range(6)]
    assert around.pairs.tolist() == inside.pairs[:, ::-1].tolist()


@pytest.mark.parametrize("longer_first", [False, True])
def test_a_score_is_a_share_of_what_the_longer_place_scores_with_itself(longer_first):
    shorter = melody_of(60, 67, 62, 69, 64, 71, 65, 72)
    longer = melody_of(60, 67, 62, 69, 50, 64, 71, 65, 72)
    best = found(*((longer, shorter) if longer_first else (shorter, longer)))[0]
    assert best.matched == 8
    assert best.score == pytest.approx(best.log_odds / (9 * OF_SAME_NOTE))


def test_notes_that_only_fill_a_roll_do_not_lengthen_its_place():
    plain = melody_of(55, 59, 57, 62, 60, 55, durations=[2] * 6, beat_strengths=[1, 0.5] * 3)
    best = found(plain, rolled_on(plain))[0]
    assert best.places[1] == range(21)
    assert best.score > 0.75  # of 21 notes it would be a quarter


@given(line=lines)
def test_within_one_melody_a_stretch_ends_before_its_counterpart_begins(line):
    for stretch in found(line, line):
        place, counterpart = stretch.places
        assert place.stop <= counterpart.start


def test_a_note_struck_twice_matches_one_and_counts_once():
    one = melody_of(60, 64, 67, durations=[1, 2, 1])
    other = melody_of(60, 64, 64, 67, durations=[1, 1, 1, 1])
    (stretch,) = found(one, other)
    assert stretch.pairs.tolist() == [[0, 0], [1, 1], [1, 2], [2, 3]]
    assert stretch.matched == 3


@given(line=melodies(min_notes=4, max_notes=20))
def test_melodies_in_free_metre_that_are_equal_match_whole_with_score_1(line):
    free = replace(line, beat_strengths=np.zeros(len(line)))
    best = found(free, transposed(free, 2))[0]
    assert (best.form, best.score, best.matched) == ("as written", 1, len(line))
