"""The simplest rhythm within the noise."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from melodex.parsing.midi.rhythm_quantiser import GRIDS, quantise

TICK = 1 / 480
WELL_KNOWN = (0.25, 0.5, 0.75, 1.0, 1.5, 2.0)


def onsets_of(steps):
    return np.concatenate([[0.0], np.cumsum(steps)])


@given(
    beats=st.lists(
        st.tuples(st.sampled_from([1, 2, 3, 4, 6, 8]), st.integers(1, 255)), min_size=4, max_size=30
    )
)
def test_exact_onsets_stay_where_they_are_whatever_divisions_follow_each_other(beats):
    exact = np.array(
        [
            beat + place / grid
            for beat, (grid, struck) in enumerate(beats)
            for place in range(grid)
            if struck >> place & 1
        ]
        or [0.0]
    )
    rhythm = quantise(np.rint(exact / TICK) * TICK, TICK)
    np.testing.assert_allclose(rhythm.onsets, exact, atol=1e-9)


@given(
    steps=st.lists(st.sampled_from(WELL_KNOWN), min_size=1, max_size=40), seed=st.integers(0, 99)
)
def test_onsets_never_fall_and_each_lies_on_a_grid(steps, seed):
    played = onsets_of(steps)
    noise = np.random.default_rng(seed).uniform(-0.2, 0.2, len(played))
    rhythm = quantise(np.sort(np.maximum(played + noise, 0.0)), TICK)
    assert (np.diff(rhythm.onsets) >= 0).all()
    places = rhythm.onsets[:, None] * GRIDS
    assert (np.abs(places - np.rint(places)).min(axis=1) < 1e-9).all()


@pytest.mark.parametrize("milliseconds", [2, 5, 10, 20])
def test_the_noise_is_estimated_from_the_file(milliseconds):
    # A uniform distribution of half-width w has a standard deviation of w / sqrt(3).
    played = onsets_of([0.5, 0.25, 0.25, 1.0, 0.5, 0.5] * 20)
    width = milliseconds / 600  # quarter notes at 100 a minute
    moves = np.random.default_rng(1).uniform(-width, width, len(played))
    rhythm = quantise(np.maximum(played + moves, 0.0), TICK)
    np.testing.assert_allclose(rhythm.onsets, played, atol=1e-9)
    assert rhythm.noise == pytest.approx(width / np.sqrt(3), rel=0.2)


def test_an_exact_file_has_no_more_noise_than_its_rounding_to_ticks():
    rhythm = quantise(onsets_of([0.25, 0.25, 0.5] * 8), TICK)
    assert rhythm.noise <= TICK


def test_a_note_just_before_the_beat_is_on_the_beat():
    played = np.array([0.0, 0.98, 1.99, 2.51, 2.97, 4.02, 4.98, 5.97, 6.52, 7.01])
    meant = [0, 1, 2, 2.5, 3, 4, 5, 6, 6.5, 7]
    np.testing.assert_allclose(quantise(played, TICK).onsets, meant, atol=1e-9)


def test_no_finer_value_is_read_than_the_noise_can_tell_apart():
    # Eighths moved by up to a sixteenth of a quarter note are usually nearest to a 64th.
    meant = onsets_of([0.5, 0.5, 1.0] * 20)
    moves = np.random.default_rng(4).uniform(-1 / 16, 1 / 16, len(meant))
    onsets = quantise(np.maximum(meant + moves, 0.0), TICK).onsets
    np.testing.assert_allclose(onsets, meant, atol=1e-9)


def test_one_onset_is_a_rhythm_too():
    assert quantise(np.array([2.0]), TICK).onsets.tolist() == [2.0]
