"""Choose between the tempo of a MIDI file and beats tracked in the performance."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from melodex._types import Beats
from melodex.parsing.midi.beat_tracker import LONGEST, tracked_beats
from melodex.parsing.midi.rhythm_quantiser import Rhythm, quantise
from melodex.parsing.midi.tempo_map import Pulse, TempoMap, Ticks

# Description length in nats an onset below which no other beats are tried. Measured on 120 bundled
# tunes: against a wrong clock all needed -1.3 or more; of those moved by up to 20 ms three quarters
# needed less than -1.5 against their own clock.
_CLOSE_ENOUGH = -1.4
_FEWEST_TO_TRACK = 8  # onsets; fewer do not establish a beat. Common practice, no source.
# Nats that each tracked beat adds to the description. Measured on 62 bundled tunes: tracked beats
# save less than 0.6 nats each if the tune was played to the file's tempo within 20 ms, and 1.7 or
# more if it was played at another tempo.
_COST_OF_BEAT = 1.0
_USUAL_TEMPO = 100.0  # beats a minute; half or double tempo is chosen if nearer. No source.
_TRIPLE = 3
# Initial guesses for a constant delay of a recording, in quarter notes: 0, 25 and 50 ms at 100 a
# minute. Recorders register keys a few hundredths of a second late (common practice, no source).
_LATE = (0.0, 1 / 24, 1 / 12)


@dataclass(frozen=True, slots=True, eq=False)
class RhythmReading:
    """A rhythm, and the clock relative to which it was found."""

    rhythm: Rhythm  # of the n onsets
    quarters_at: Callable[[Ticks], Beats]  # converts ticks to quarter notes
    seconds_a_quarter: float
    is_tracked: bool  # whether the beats were tracked in the performance

    @property
    def description(self) -> float:
        """Nats needed to describe the onsets in seconds, given the beats."""
        return self.rhythm.description + len(self.rhythm.onsets) * math.log(self.seconds_a_quarter)


def read_beats(onsets: Ticks, clock: TempoMap) -> RhythmReading:
    """Return the rhythm with the shortest description, whichever clock it is based on.

    The file's own clock is tried first; if the onsets are not close to it, beats tracked in the
    onsets are tried as well. Tracked beats count towards the length of the description.

    Parameters
    ----------
    onsets : shape (n,), n at least 1
        Ticks, ascending.
    clock : TempoMap
        The file's tempo map.
    """
    rhythm = quantise(clock.quarters_of(onsets), 1 / clock.ticks_a_quarter)
    by_the_file = RhythmReading(
        rhythm, clock.quarters_of, _usual_length(onsets, clock), is_tracked=False
    )
    is_exact = rhythm.noise <= 1 / clock.ticks_a_quarter
    if is_exact or by_the_file.description < _CLOSE_ENOUGH * len(onsets):
        return by_the_file
    return _by_its_own_beats(onsets, clock, _without_delay(onsets, clock, by_the_file))


def _usual_length(onsets: Ticks, clock: TempoMap) -> float:
    """Return the average length of a quarter note over the music, in seconds."""
    stretch = np.array([onsets[0], max(onsets[-1], onsets[0] + clock.ticks_a_quarter)])
    seconds, quarters = clock.seconds_of(stretch), clock.quarters_of(stretch)
    return float((seconds[1] - seconds[0]) / (quarters[1] - quarters[0]))


def _without_delay(onsets: Ticks, clock: TempoMap, reading: RhythmReading) -> RhythmReading:
    """Improve a reading by the file's clock by removing the delay common to all onsets."""
    played = clock.quarters_of(onsets)
    best, late = reading.rhythm, 0.0
    for guess in _LATE:
        first = quantise(np.maximum(played - guess, 0.0), 1 / clock.ticks_a_quarter)
        delay = max(float(np.median(played - first.onsets)), 0.0)
        rhythm = quantise(np.maximum(played - delay, 0.0), 1 / clock.ticks_a_quarter)
        if rhythm.description < best.description:
            best, late = rhythm, delay

    def quarters_at(ticks: Ticks) -> Beats:
        return clock.quarters_of(ticks) - late

    return replace(reading, rhythm=best, quarters_at=quarters_at)


def _by_its_own_beats(onsets: Ticks, clock: TempoMap, best: RhythmReading) -> RhythmReading:
    """Return a reading by beats tracked in the onsets if its description is shorter."""
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
    """Return how often to double the period to bring it nearest to the usual one."""
    return round(math.log2(60 / (_USUAL_TEMPO * pulse.seconds_a_beat)))


def _in_quarters(rhythm: Rhythm, clock: TempoMap, pulse: Pulse, skipped: int) -> RhythmReading:
    """Read beats as quarter notes, or dotted ones if they divide by three, at a usual tempo."""
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
    return RhythmReading(
        scaled, quarters_at, pulse.seconds_a_beat / quarters_a_beat, is_tracked=True
    )
