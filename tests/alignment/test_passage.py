"""Laws of the score of a lick in songs."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from melodex.alignment.questions import Form

from melodex.alignment.passage import ask_songs, passages_of
from melodex.alignment.settings import DEFAULT_SETTINGS
from melodex.features.skeleton import is_even
from melodex.index.song_arrays import join_performances, perform
from melodex.model.melody import Melody
from tests.strategies import in_tempo, melodies, melody_of, transposed


def ask(lick: Melody, *songs: Melody):
    arrays = join_performances(
        [perform(song, np.array([(0.0, song.onsets[-1] + 100.0)])) for song in songs]
    )
    return ask_songs(lick, arrays, np.arange(len(songs))), arrays


def score(lick, song):
    return float(ask(lick, song)[0].scores[0])


@given(lick=melodies(min_notes=2, max_notes=16))
def test_a_lick_with_itself_scores_its_number_of_notes_as_written(lick):
    answers, arrays = ask(lick, lick)
    assert answers.scores[0] == pytest.approx(len(lick), abs=1e-3)
    (passage, *_) = passages_of(answers, 0, arrays)
    assert passage.form == Form.AS_WRITTEN


@given(
    lick=melodies(min_notes=2, max_notes=10),
    song=melodies(min_notes=2, max_notes=25),
    up=st.integers(-12, 12),
)
def test_transposing_either_side_changes_no_score(lick, song, up):
    assert score(transposed(lick, up), song) == pytest.approx(score(lick, song), abs=1e-4)
    assert score(lick, transposed(song, up)) == pytest.approx(score(lick, song), abs=1e-4)


@given(lick=melodies(min_notes=4, max_notes=12), factor=st.sampled_from([0.5, 2.0]))
def test_halved_or_doubled_note_values_cost_exactly_the_documented_price(lick, factor):
    # All strengths are 1 here, and the values differ by one doubling: as written, each pair loses
    # one duration weight, twice in 2 * similarity - 1.
    assume(not is_even(lick.onsets * factor))
    as_scaled = 1 - DEFAULT_SETTINGS.scaling_price
    as_written = 1 - 2 * DEFAULT_SETTINGS.duration_weight
    expected = len(lick) * max(as_scaled, as_written)
    assert score(lick, in_tempo(lick, factor)) == pytest.approx(expected, abs=1e-3)


def test_a_note_split_in_two_costs_the_price_of_a_split():
    lick = melody_of(67, 71, 74, 67, durations=[1, 2, 1, 1])
    song = melody_of(67, 71, 71, 74, 67, durations=[1, 1, 1, 1, 1])
    assert score(lick, song) == pytest.approx(4 - DEFAULT_SETTINGS.split_price, abs=1e-4)


def test_two_notes_joined_to_one_cost_the_price_of_a_split():
    lick = melody_of(67, 71, 71, 74, 67, durations=[1, 1, 1, 1, 1])
    song = melody_of(67, 71, 74, 67, durations=[1, 2, 1, 1])
    assert score(lick, song) == pytest.approx(4 - DEFAULT_SETTINGS.split_price, abs=1e-4)


def test_a_dropped_weak_note_costs_less_than_a_dropped_strong_one():
    lick = melody_of(67, 69, 71, 74, beat_strengths=[1, 0.125, 1, 0.125])
    without_weak = melody_of(67, 71, 74, beat_strengths=[1, 1, 0.125])
    without_strong = melody_of(67, 69, 74, beat_strengths=[1, 0.125, 0.125])
    assert score(lick, without_weak) > score(lick, without_strong)


def test_the_melody_inside_a_roll_is_found_by_its_skeleton():
    strengths = [1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 2
    rolled = melody_of(
        55, 59, 62, 67, 59, 62, 67, 62, 57, 59, 62, 67, 55, 59, 62, 67,
        durations=[0.5] * 16,
        beat_strengths=strengths,
    )  # fmt: skip
    rolled = replace(rolled, strings=np.array([3, 2, 1, 5, 2, 1, 5, 1] * 2, np.int8))
    plain = melody_of(55, 59, 57, 55, durations=[2, 2, 2, 2], beat_strengths=[1, 0.5, 1, 0.5])
    answers, arrays = ask(plain, rolled)
    (passage, *_) = passages_of(answers, 0, arrays)
    assert passage.form == Form.SKELETON
    assert passage.pairs[:, 1].tolist() == [0, 4, 8, 12]
    assert answers.scores[0] < len(plain)


def test_outside_tab_a_skeleton_answers_32_notes_at_a_higher_price_than_16():
    def share(times):
        rolled = melody_of(
            *(55, 59, 62, 67, 59, 62, 67, 62, 57, 59, 62, 67, 55, 59, 62, 67) * times,
            durations=[0.5] * 16 * times,
            beat_strengths=[1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 2 * times,
        )
        plain = melody_of(
            *(55, 59, 57, 55) * times,
            durations=[2] * 4 * times,
            beat_strengths=[1, 0.5] * 2 * times,
        )
        return score(plain, rolled) / len(plain)

    # What the filler between two measures costs weighs a little more in a longer lick.
    assert share(4) == pytest.approx(share(2), rel=0.02)
    assert share(8) == pytest.approx((1 - DEFAULT_SETTINGS.long_lick_price) * share(4), rel=0.02)
    assert share(12) == pytest.approx(share(8), rel=0.02)


def test_a_rolled_lick_is_found_in_the_plain_tune_that_it_carries():
    # Two forward rolls whose beats play G B A B A G; the plain tune plays them in quarters.
    rolled = melody_of(
        *(55, 62, 59, 67, 57, 62, 59, 67),
        *(57, 62, 55, 67, 59, 62, 55, 67),
        durations=[0.5] * 16,
        beat_strengths=[1, 0.125, 0.25, 0.125, 0.5, 0.125, 0.25, 0.125] * 2,
    )
    plain = melody_of(
        *(72, 55, 59, 57, 59, 57, 55, 59, 55),
        durations=[2, *[1] * 8],
        beat_strengths=[1, *[1, 0.25, 0.5, 0.25] * 2],
    )
    broken_chords = melody_of(*[62, 59, 67, 62, 59, 67, 64, 60] * 3, durations=[0.5] * 24)
    answers, arrays = ask(rolled, broken_chords, plain)
    assert answers.scores[1] > answers.scores[0]
    (passage,) = passages_of(answers, 1, arrays)
    assert passage.form == Form.SKELETON
    assert passage.pairs.tolist() == [
        [note, place] for place, note in enumerate(range(0, 16, 2), 1)
    ]


@given(lick=melodies(min_notes=2, max_notes=8), song=melodies(min_notes=2, max_notes=25))
def test_adding_another_song_changes_no_score(lick, song):
    alone = ask(lick, song)[0].scores[0]
    beside = ask(lick, song, lick)[0].scores[0]
    assert alone == beside
