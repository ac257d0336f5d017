"""Inter-onset intervals and their ratios."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from melodex.features.rhythm import inter_onset_intervals, inter_onset_ratios
from tests.strategies import in_tempo, melodies, melody_of


def ratios(melody):
    return inter_onset_ratios(melody.onsets, melody.durations)


@given(melody=melodies(), factor=st.sampled_from([0.25, 0.5, 2.0, 3.0, 1.37]))
def test_ratios_do_not_change_with_the_tempo(melody, factor):
    np.testing.assert_allclose(ratios(in_tempo(melody, factor)), ratios(melody), rtol=1e-9)


@given(melody=melodies())
def test_inter_onset_intervals_add_up_to_the_length_of_the_melody(melody):
    total = inter_onset_intervals(melody.onsets, melody.durations).sum()
    length = melody.onsets[-1] + melody.durations[-1] - melody.onsets[0]
    np.testing.assert_allclose(total, length)


@given(melody=melodies())
def test_every_note_has_an_inter_onset_interval_above_nothing(melody):
    intervals = inter_onset_intervals(melody.onsets, melody.durations)
    assert intervals.shape == (len(melody),)
    assert (intervals > 0).all()


def test_a_short_note_before_a_rest_counts_as_a_long_one():
    staccato = melody_of(60, 62, 64, onsets=[0, 1, 2], durations=[0.25, 0.25, 1])
    legato = melody_of(60, 62, 64)
    np.testing.assert_array_equal(ratios(staccato), ratios(legato))


def test_a_dotted_rhythm_is_three_to_one():
    # Source: ABC 2.1, section 4.4: in A>B the first note is dotted, the second halved.
    dotted = melody_of(69, 71, 69, 71, durations=[0.75, 0.25, 0.75, 0.25])
    np.testing.assert_allclose(ratios(dotted), [1 / 3, 3, 1 / 3])


def test_no_notes_have_no_rhythm():
    assert inter_onset_intervals(np.empty(0), np.empty(0)).shape == (0,)
    assert inter_onset_ratios(np.empty(0), np.empty(0)).shape == (0,)
