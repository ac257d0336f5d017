"""The beats of a measure, and how notes are split so that the beats stay visible."""

from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from melodex.model.metre import Metre
from melodex.notation.note_values import LONGEST_VALUE, note_values

_DOWNBEAT, _STRONG, _BEAT, _NOWHERE = 4, 3, 2, -4
_EIGHTH = 8  # from this denominator on, pulses are grouped in threes
_UNEVEN = {5: (3, 2), 7: (2, 2, 3)}  # eighths, if the source states no groups: a convention


class MetreBeats(NamedTuple):
    """The beats of a metre; lengths in quarter notes."""

    length: Fraction  # of a measure; 0 in free metre
    pulse: Fraction  # the metre's lower number: a quarter note in 3/4, an eighth in 6/8
    starts: tuple[Fraction, ...]  # of the beats in a measure; empty in free metre
    is_grouped: bool  # beats consist of several pulses, as in 6/8

    @property
    def joins_eighths(self) -> bool:
        """Whether beams join eighths over half a measure, as in 2/4, 4/4 and 2/2."""
        return not self.is_grouped and self.length in {2, 4}

    def weight(self, place: Fraction) -> int:
        """Return the weight of a position: 4 for a downbeat, 2 or 3 for a beat, 1 its half."""
        place = self._within(place)
        if place in self.starts:
            return self._weight_of_beat(place)
        if not self.starts and not place % self.pulse:
            return _BEAT
        unit, weight = (self.pulse if self.is_grouped else self.pulse / 2), 1
        while weight > _NOWHERE and place % unit:
            unit, weight = unit / 2, weight - 1
        return weight

    def beat_before(self, place: Fraction) -> Fraction:
        """Return the start of the beat that contains a position."""
        if not self.starts:
            return place // self.pulse * self.pulse
        within = self._within(place)
        return place - within + max(start for start in self.starts if start <= within)

    def strongest_inside(self, begin: Fraction, end: Fraction) -> Fraction | None:
        """Return the last of the strongest positions inside a stretch, excluding its ends.

        Only multiples of a quarter of a pulse are considered; None if none of them is inside.
        """
        places = [_latest_multiple(end, self.pulse / division) for division in (1, 2, 4)]
        measure = _latest_multiple(end, self.length) if self.length else Fraction(0)
        places += [
            start + onset for start in (measure, measure - self.length) for onset in self.starts
        ]
        inside = (place for place in places if begin < place < end)
        return max(inside, key=lambda place: (self.weight(place), place), default=None)

    def _within(self, place: Fraction) -> Fraction:
        return place % self.length if self.length else place

    def _weight_of_beat(self, place: Fraction) -> int:
        if not place:
            return _DOWNBEAT
        is_middle = 2 * place == self.length and len(self.starts) % 4 == 0
        return _STRONG if self.is_grouped or is_middle else _BEAT


def beats_of(metre: Metre) -> MetreBeats:
    """Return the beats of a metre.

    Examples
    --------
    >>> [str(start) for start in beats_of(Metre(6, 8)).starts]
    ['0', '3/2']
    >>> [str(start) for start in beats_of(Metre(7, 8)).starts]
    ['0', '1', '2']
    """
    if metre.is_free:
        return MetreBeats(Fraction(0), Fraction(1), (), is_grouped=False)
    pulse = Fraction(4, metre.denominator)
    groups = metre.groups or _groups(metre)
    starts = [Fraction(0), *accumulate(group * pulse for group in groups)][:-1]
    is_grouped = any(group != 1 for group in groups)
    return MetreBeats(metre.measure_length, pulse, tuple(starts), is_grouped=is_grouped)


def _groups(metre: Metre) -> tuple[int, ...]:
    pulses = metre.numerator
    if metre.denominator >= _EIGHTH and pulses % 3 == 0:
        return (3,) * (pulses // 3)
    if metre.denominator >= _EIGHTH and pulses in _UNEVEN:
        return _UNEVEN[pulses]
    return (1,) * pulses


def _latest_multiple(end: Fraction, step: Fraction) -> Fraction:
    """Return the last multiple of a step before an end."""
    return (-(-end // step) - 1) * step


def places_between(begin: Fraction, end: Fraction, step: Fraction) -> list[Fraction]:
    """Return the multiples of a step inside a stretch, excluding its ends.

    Examples
    --------
    >>> [str(place) for place in places_between(Fraction(1), Fraction(3), Fraction(3, 4))]
    ['3/2', '9/4']
    """
    first = begin // step + 1
    last = -(-end // step)  # the first multiple not below the end
    return [step * number for number in range(first, last)]


@lru_cache(maxsize=4096)  # saves half of engraving time: most measures repeat values
def cut_at_beats(
    begin: Fraction, end: Fraction, beats: MetreBeats, *, is_rest: bool
) -> tuple[tuple[Fraction, Fraction], ...]:
    """Split a note or rest where its value would hide a beat, or where no single value exists.

    Parameters
    ----------
    begin, end : Fraction
        Quarter notes from the start of the full measure.

    Returns
    -------
    tuple of (Fraction, Fraction)
        Consecutive stretches from ``begin`` to ``end``.

    Source
    ------
    Common practice, no source: a note may hide a position one weight stronger than its own start (a
    half note on the second of four beats does), a rest may not.
    """
    pieces: list[tuple[Fraction, Fraction]] = []
    waiting = [(begin, end)]
    while waiting:
        start, stop = waiting.pop()
        cut = _cut(start, stop, beats, is_rest=is_rest)
        if cut is None:
            pieces.append((start, stop))
        else:
            waiting += [(cut, stop), (start, cut)]
    return tuple(pieces)


def _cut(begin: Fraction, end: Fraction, beats: MetreBeats, *, is_rest: bool) -> Fraction | None:
    """Return where a note or rest must be split; None if it need not be."""
    cut = beats.strongest_inside(begin, end)
    if cut is None:
        return None
    hides = beats.weight(cut) - beats.weight(begin) > (0 if is_rest else 1)
    has_value = end - begin <= LONGEST_VALUE and len(note_values(end - begin)) == 1
    return cut if not has_value or hides or _straddles(begin, end, cut, beats) else None


def _straddles(begin: Fraction, end: Fraction, cut: Fraction, beats: MetreBeats) -> bool:
    """Return whether a value overlaps a beat of several pulses without being made of beats."""
    if not beats.is_grouped or beats.weight(cut) < _STRONG:
        return False
    return min(beats.weight(begin), beats.weight(end)) < _STRONG
