"""Whether a performance keeps to the tempo of its file, or to beats of its own."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from melodex._types import Beats
from melodex.parsing.midi.beat_tracker import LONGEST, tracked_beats
from melodex.parsing.midi.rhythm_quantiser import Rhythm, quantise
from melodex.parsing.midi.tempo_map import Pulse, TempoMap, Ticks

# Nats an onset, in seconds, of a rhythm that needs no other beats. Measured on 120 bundled tunes:
# read by a clock that was not theirs, all took -1.3 or more; of those moved by up to 20 ms three
# quarters took less than -1.5 by their own. Other beats are tried for what lies between.
_CLOSE_ENOUGH = -1.4
_FEWEST_TO_TRACK = 8  # onsets; fewer do not show a beat. Common practice, no source.
# Nats that the place of each tracked beat adds to the description. Measured on 62 bundled tunes:
# tracked beats save less than 0.6 nats each where the tune was played to the file's tempo within
# 20 ms, and 1.7 or more where it was played at another tempo.
_COST_OF_BEAT = 1.0
_USUAL_TEMPO = 100.0  # beats a minute; twice or half the tempo is read if nearer. No source.
_TRIPLE = 3
# Quarter notes by which a recording may be late throughout, as first guesses: 0, 25 and 50 ms at
# 100 a minute. Keys reach a recorder some hundredths of a second late (common practice, no source).
_LATE = (0.0, 1 / 24, 1 / 12)


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A rhythm, and the clock by which it was found."""

    rhythm: Rhythm  # of the n onsets
    quarters_at: Callable[[Ticks], Beats]  # quarter notes up to ticks
    seconds_a_quarter: float
    is_tracked: bool  # whether the beats are the performance's own

    @property
    def description(self) -> float:
        """The nats that describe the onsets in seconds, by known beats."""
        return self.rhythm.description + len(self.rhythm.onsets) * math.log(self.seconds_a_quarter)


def read_beats(onsets: Ticks, clock: TempoMap) -> Reading:
    """Read the rhythm by the clock that describes the onsets in the fewest bits.

    The file's own clock is tried, and where the onsets are not close to it, beats that can be
    tracked in them. The beats themselves are part of the description.

    Parameters
    ----------
    onsets : shape (n,), n at least 1
        Ticks, ascending.
    clock : TempoMap
        Of the file.
    """
    rhythm = quantise(clock.quarters_of(onsets), 1 / clock.ticks_a_quarter)
    a_quarter = float(np.mean(clock.seconds_a_tick)) * clock.ticks_a_quarter
    by_the_file = Reading(rhythm, clock.quarters_of, a_quarter, is_tracked=False)
    is_exact = rhythm.noise <= 1 / clock.ticks_a_quarter
    if is_exact or by_the_file.description < _CLOSE_ENOUGH * len(onsets):
        return by_the_file
    return _by_its_own_beats(onsets, clock, _less_delay(onsets, clock, by_the_file))


def _less_delay(onsets: Ticks, clock: TempoMap, reading: Reading) -> Reading:
    """Improve a reading by the file's clock by what all onsets together are late by."""
    played = clock.quarters_of(onsets)
    best, late = reading.rhythm, 0.0
    for guess in _LATE:
        first = quantise(np.maximum(played - guess, 0.0), 1 / clock.ticks_a_quarter)
        delay = max(float(np.median(played - first.onsets)), 0.0)
        rhythm = quantise(np.maximum(played - delay, 0.0), 1 / clock.ticks_a_quarter)
        if rhythm.description < best.description:
            best, late = rhythm, delay
    return replace(reading, rhythm=best, quarters_at=lambda ticks: clock.quarters_of(ticks) - late)


def _by_its_own_beats(onsets: Ticks, clock: TempoMap, best: Reading) -> Reading:
    """Return the reading by beats tracked in the onsets if it is described more shortly."""
    seconds = clock.seconds_of(onsets)
    length = float(seconds[-1] - seconds[0])
    if len(onsets) < _FEWEST_TO_TRACK or length > LONGEST:
        return best
    least = best.description
    for pulse in map(Pulse, tracked_beats(seconds)):
        played = pulse.beats_at(seconds)
        skipped = math.floor(played[0])
        rhythm = quantise(played - skipped, 1 / clock.ticks_a_quarter)
        description = rhythm.description + len(onsets) * math.log(pulse.seconds_a_beat)
        description += _COST_OF_BEAT * length / (pulse.seconds_a_beat * 2.0 ** _octaves(pulse))
        if description < least:
            least, best = description, _in_quarters(rhythm, clock, pulse, skipped)
    return best


def _octaves(pulse: Pulse) -> int:
    """Return how often the period must be doubled to be nearest to a usual one."""
    return round(math.log2(60 / (_USUAL_TEMPO * pulse.seconds_a_beat)))


def _in_quarters(rhythm: Rhythm, clock: TempoMap, pulse: Pulse, skipped: int) -> Reading:
    """Call beats quarter notes, or dotted ones where they divide by three, at a usual tempo."""
    divided = rhythm.grids[rhythm.grids > 1]
    is_compound = np.count_nonzero(divided % _TRIPLE == 0) > len(divided) / 2
    quarters_a_beat = (1.5 if is_compound else 1.0) / 2.0 ** _octaves(pulse)

    def quarters_at(ticks: Ticks) -> Beats:
        return (pulse.beats_at(clock.seconds_of(ticks)) - skipped) * quarters_a_beat

    scaled = Rhythm(
        onsets=rhythm.onsets * quarters_a_beat,
        grids=np.where(
            rhythm.grids % _TRIPLE == 0, 2 if is_compound else rhythm.grids, rhythm.grids
        ),
        noise=rhythm.noise * quarters_a_beat,
        description=rhythm.description,
    )
    return Reading(scaled, quarters_at, pulse.seconds_a_beat / quarters_a_beat, is_tracked=True)
