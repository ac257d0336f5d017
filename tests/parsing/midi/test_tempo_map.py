"""Ticks, seconds and beats."""

import numpy as np
import pytest

from melodex.parsing.midi.tempo_map import Pulse, TempoMap


def test_without_a_tempo_a_quarter_note_lasts_half_a_second():
    # Source: Standard MIDI Files specification 1.0 (from memory): 120 quarter notes a minute.
    clock = TempoMap.of({}, 480)
    assert clock.seconds_of(np.array([0.0, 480.0, 720.0])).tolist() == [0, 0.5, 0.75]


def test_each_tempo_holds_until_the_next():
    clock = TempoMap.of({0: 1_000_000, 480: 500_000, 960: 250_000}, 480)
    seconds = clock.seconds_of(np.array([0.0, 240.0, 480.0, 960.0, 1440.0]))
    assert seconds.tolist() == pytest.approx([0, 0.5, 1, 1.5, 1.75])


def test_a_tempo_of_no_time_is_skipped():
    assert TempoMap.of({0: 0}, 96).seconds_of(np.array([96.0])).tolist() == [0.5]


def test_beats_are_counted_between_before_and_after_the_known_ones():
    pulse = Pulse(np.array([1.0, 2.0, 4.0]))
    counted = pulse.beats_at(np.array([0.0, 1.0, 1.5, 3.0, 4.0, 6.0]))
    assert counted.tolist() == [-1, 0, 0.5, 1.5, 2, 3]
    assert pulse.seconds_a_beat == 1.5
