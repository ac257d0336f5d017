"""Convert ticks of a MIDI file to seconds and quarter notes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats

Ticks = NDArray[np.float64]
Seconds = NDArray[np.float64]

DEFAULT_TEMPO = 500_000  # microseconds a quarter note. Source: SMF 1.0 (from memory)


@dataclass(frozen=True, slots=True, eq=False)
class TempoMap:
    """When each tempo begins, and how long its ticks are; the arrays have shape (n_tempos,)."""

    ticks_a_quarter: float
    ticks: Ticks
    seconds: Seconds
    seconds_a_tick: Seconds

    @classmethod
    def of(cls, tempos: Mapping[int, int], ticks_a_quarter: float) -> Self:
        """Build the map.

        Parameters
        ----------
        tempos : mapping
            Microseconds a quarter note, by tick; 0 is invalid and skipped.
        ticks_a_quarter : float
            Above 0.
        """
        stated = {tick: tempo for tick, tempo in tempos.items() if tempo}
        changes = sorted(({0: DEFAULT_TEMPO} | stated).items())
        ticks = np.array([float(tick) for tick, _ in changes])
        lengths = np.array([tempo for _, tempo in changes]) / (1e6 * ticks_a_quarter)
        seconds = np.concatenate([[0.0], np.cumsum(np.diff(ticks) * lengths[:-1])])
        return cls(ticks_a_quarter, ticks, seconds, lengths)

    def seconds_of(self, ticks: Ticks) -> Seconds:
        """Return the time of ticks in seconds; shape like ``ticks``."""
        place = np.searchsorted(self.ticks, ticks, side="right") - 1
        return self.seconds[place] + (ticks - self.ticks[place]) * self.seconds_a_tick[place]

    def quarters_of(self, ticks: Ticks) -> Beats:
        """Return the position of ticks in quarter notes; shape like ``ticks``."""
        return ticks / self.ticks_a_quarter


@dataclass(frozen=True, slots=True, eq=False)
class Pulse:
    """The times of beats; at least two, ascending."""

    moments: Seconds  # shape (n_beats,)

    @property
    def seconds_a_beat(self) -> float:
        """The median time between beats."""
        return float(np.median(np.diff(self.moments)))

    def beats_at(self, moments: Seconds) -> Beats:
        """Return the position of moments in beats, 0 at the first beat; shape like ``moments``.

        The tempo is extrapolated before the first and after the last beat.
        """
        counted = np.interp(moments, self.moments, np.arange(len(self.moments)))
        first, second = self.moments[:2]
        before_last, last = self.moments[-2:]
        counted += np.minimum((moments - first) / (second - first), 0)
        counted += np.maximum((moments - last) / (last - before_last), 0)
        return counted
