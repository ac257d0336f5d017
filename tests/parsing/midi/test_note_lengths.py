"""Written note lengths."""

import numpy as np
import pytest

from melodex.parsing.midi.note_lengths import written_ends
from melodex.parsing.midi.rhythm_quantiser import quantise

TICK = 1 / 480


def lengths_of(starts, sounded):
    starts = np.array(starts, dtype=np.float64)
    rhythm = quantise(starts, TICK)
    ends = written_ends(rhythm, starts, starts + np.array(sounded), TICK)
    return np.round(ends - rhythm.onsets, 6).tolist()


def test_exact_lengths_and_rests_stay_as_they_are():
    sounded = [1, 0.5, 0.75, 0.25, 0.125, 1]
    assert lengths_of([0, 1, 2, 3, 3.5, 4], sounded) == sounded


@pytest.mark.parametrize("share", [0.8, 0.9, 0.95])
def test_keys_released_after_a_share_of_each_note_mean_no_rests(share):
    steps = np.array([1, 0.5, 0.5, 1, 0.25, 0.25, 0.5, 1.0])
    assert lengths_of(np.cumsum(steps) - steps, steps * share) == [*steps[:-1], 1]


def test_a_note_held_into_the_next_ends_where_that_begins():
    assert lengths_of([0, 1, 2], [1.05, 0.98, 1])[:2] == [1, 1]


def test_rests_in_what_was_played_by_hand_are_kept_where_they_lie_on_places():
    moves = np.random.default_rng(2).uniform(-0.03, 0.03, 40)
    starts = np.maximum(np.arange(40) + moves, 0)
    assert lengths_of(starts, [0.5] * 40) == [0.5] * 40


def test_ends_at_random_mean_no_rests():
    generator = np.random.default_rng(2)
    starts = np.maximum(np.arange(40) + generator.uniform(-0.03, 0.03, 40), 0)
    assert lengths_of(starts, generator.uniform(0.55, 0.95, 40)) == [1.0] * 40


def test_a_last_note_gets_the_next_longer_written_length():
    starts = np.arange(9) + np.tile([0.01, -0.01], 5)[:9] + 0.01
    assert lengths_of(starts, [0.9] * 9)[-1] == 1
