"""Tracking beats in notes."""

import numpy as np
import pytest

from melodex.parsing.midi.beat_choice import read_beats
from melodex.parsing.midi.beat_tracker import tracked_beats
from melodex.parsing.midi.tempo_map import TempoMap

STEPS = [1, 0.5, 0.5, 1, 1, 0.25, 0.25, 0.5, 1, 2] * 6  # quarter notes


def onsets_at(period, *, uneven=0.0):
    """Return the onsets of the steps in seconds for a length of a beat, each moved randomly."""
    onsets = np.concatenate([[0.0], np.cumsum(STEPS)]) * period
    return np.sort(onsets + np.random.default_rng(5).uniform(0, 2 * uneven, len(onsets)))


@pytest.mark.parametrize("period", [0.45, 0.6, 0.72, 0.9])
def test_one_of_the_periods_is_that_of_the_beat(period):
    periods = [float(np.median(np.diff(beats))) for beats in tracked_beats(onsets_at(period))]
    assert min(abs(found - period) for found in periods) < 0.02


def test_beats_of_the_right_period_fall_near_the_beats_of_the_music():
    period = 0.6
    (beats, *_) = sorted(
        tracked_beats(onsets_at(period, uneven=0.02)),
        key=lambda beats: abs(float(np.median(np.diff(beats))) - period),
    )
    away = (beats - 0.02 + period / 2) % period - period / 2
    assert np.abs(away).max() < 0.05


def test_onsets_closer_than_any_beat_have_none():
    assert tracked_beats(np.linspace(0, 1e-3, 20)) == []


@pytest.mark.parametrize("tempo", [72, 93, 110])
def test_the_files_clock_is_kept_where_the_notes_keep_to_it(tempo):
    seconds = onsets_at(60 / tempo, uneven=0.02)
    clock = TempoMap.of({0: round(60e6 / tempo)}, 480)
    reading = read_beats(np.rint(seconds / clock.seconds_a_tick[0]), clock)
    assert not reading.is_tracked


@pytest.mark.parametrize("tempo", [72, 93, 110])
def test_other_beats_are_taken_where_the_notes_do_not_keep_to_the_clock(tempo):
    seconds = onsets_at(60 / tempo, uneven=0.02)
    clock = TempoMap.of({}, 480)
    reading = read_beats(np.rint(seconds / clock.seconds_a_tick[0]), clock)
    assert reading.is_tracked
    assert 60 / reading.seconds_a_quarter == pytest.approx(tempo, rel=0.02)


def test_a_recording_that_is_late_throughout_keeps_the_files_clock():
    seconds = onsets_at(0.6, uneven=0.01) + 0.04
    clock = TempoMap.of({0: 600_000}, 480)
    reading = read_beats(np.rint(seconds / clock.seconds_a_tick[0]), clock)
    meant = np.concatenate([[0.0], np.cumsum(STEPS)])
    assert not reading.is_tracked
    np.testing.assert_allclose(reading.rhythm.onsets, meant, atol=1e-9)
