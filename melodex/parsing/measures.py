"""Number the measures between bar lines, and weigh the positions in them."""

from bisect import bisect_right
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats, Strengths
from melodex.model.metre import Metre
from melodex.model.song import MeasureGrid, MetreChange, Song
from melodex.parsing.beat_strength import beat_strengths, free_metre_strengths

ROUNDING = 1e-6  # quarter notes: sums of tuplets are not exact in binary


@dataclass(frozen=True, slots=True)
class MeasureList:
    """The stretches between bar lines, in order; the four lists have equal lengths."""

    onsets: list[float]  # quarter notes from the start of the music
    numbers: list[int]  # as written; a pickup is 0; two parts of one measure share a number
    positions: list[float]  # where each begins within its full measure, in quarter notes
    metres: list[Metre]
    end: float  # length of the music

    def grid(self) -> MeasureGrid:
        """Return onsets and numbers in the form that a song stores."""
        return MeasureGrid(np.array(self.onsets), np.array(self.numbers, dtype=np.int32))

    def measure_of(self, onsets: Beats) -> NDArray[np.intp]:
        """Return the index of each note's measure in this list; shape like ``onsets``."""
        return np.searchsorted(np.array(self.onsets) - ROUNDING, onsets, side="right") - 1

    def strengths(self, onsets: Beats, measure_of: NDArray[np.intp]) -> Strengths:
        """Return the metric weight of each note; shape like ``onsets``."""
        begins = np.array(self.positions) - np.array(self.onsets)
        positions = onsets + begins[measure_of]
        strengths = np.empty(len(onsets))
        number_of = {metre: number for number, metre in enumerate(dict.fromkeys(self.metres))}
        metre_of_note = np.array([number_of[metre] for metre in self.metres])[measure_of]
        by_metre = np.argsort(metre_of_note, kind="stable")
        starts = np.searchsorted(metre_of_note[by_metre], np.arange(len(number_of) + 1))
        for metre, (start, stop) in zip(number_of, pairwise(starts), strict=True):
            here = by_metre[start:stop]
            if metre.is_free:
                strengths[here] = free_metre_strengths(measure_of)[here]
            else:
                strengths[here] = beat_strengths(positions[here], metre)
        return strengths


def list_measures(
    bar_lines: Iterable[float],
    end: float,
    metres: Sequence[MetreChange],
    seams: Container[float] = (),
) -> MeasureList:
    """List the measures, numbered as a musician counts them on the page.

    A first measure shorter than its metre is the pickup, number 0. Two short measures on either
    side of a seam that together are no longer than one are parts of it and share its number. A
    short measure after a seam is the end of a full measure, any other short measure the beginning
    (common practice, no source).

    Parameters
    ----------
    bar_lines : float
        Onsets of all bar lines in quarter notes, ascending; may include the start and the end of
        the music.
    end : float
        Length of the music.
    metres : MetreChange
        The first applies from the start. A measure keeps the metre that it begins in.
    seams : float
        Onsets of double and repeat bar lines, except those that begin an ending.
    """
    onsets = [0.0]
    for onset in bar_lines:
        if onsets[-1] < onset < end:
            onsets.append(onset)
    stretches = _stretches(onsets, end, metres, seams)
    joined = [False]
    for before, stretch in pairwise(stretches):
        joined.append(not joined[-1] and _make_one_measure(before, stretch))
    positions = _positions(stretches, joined)
    first_number = 0 if positions[0] > 0 else 1
    numbers = accumulate((int(not part) for part in joined[1:]), initial=first_number)
    metre_of_each = [each.metre for each in stretches]
    return MeasureList(onsets, list(numbers), positions, metre_of_each, end)


class _Stretch(NamedTuple):
    """The music between two bar lines."""

    length: float
    room: float  # missing from a full measure; below 0 without a metre
    metre: Metre
    after_seam: bool

    @property
    def is_short(self) -> bool:
        return self.room > ROUNDING


def _stretches(
    onsets: list[float], end: float, metres: Sequence[MetreChange], seams: Container[float]
) -> list[_Stretch]:
    changes = [change.onset - ROUNDING for change in metres]
    full_lengths = [float(change.metre.measure_length) for change in metres]
    stretches: list[_Stretch] = []
    for onset, stop in pairwise([*onsets, end]):
        change = max(bisect_right(changes, onset) - 1, 0)
        length = stop - onset
        stretches.append(
            _Stretch(length, full_lengths[change] - length, metres[change].metre, onset in seams)
        )
    return stretches


def _make_one_measure(first: _Stretch, second: _Stretch) -> bool:
    """Return whether two stretches are parts of one measure, divided by a double bar or repeat."""
    return (
        second.after_seam
        and first.is_short
        and second.is_short
        and first.metre == second.metre
        and second.length <= first.room + ROUNDING
    )


def _positions(stretches: list[_Stretch], joined: list[bool]) -> list[float]:
    """Return where each stretch begins within its full measure.

    Short stretches that lead into the next one are at the end of their measure.
    """
    last = len(stretches) - 1
    positions: list[float] = []
    for place, stretch in enumerate(stretches):
        leads_on = place < last and (place == 0 or stretch.after_seam)
        if place == 0 and last > 0 and joined[1]:
            positions.append(_without_rounding(stretch.room - stretches[1].length))
        elif joined[place] and not leads_on:
            positions.append(positions[-1] + stretches[place - 1].length)
        elif stretch.is_short and leads_on:
            positions.append(stretch.room)
        else:
            positions.append(0.0)
    return positions


def _without_rounding(length: float) -> float:
    return length if length > ROUNDING else 0.0


def measure_list_of(song: Song) -> MeasureList:
    """Return a song's measures as its reader listed them."""
    metres = [MetreChange(0.0, song.metre), *song.metre_changes]
    return list_measures(song.measures.onsets.tolist(), end_of(song), metres, seams_of(song))


def seams_of(song: Song) -> set[float]:
    """Return the onsets of a song's double and repeat bar lines that do not begin an ending."""
    return {line.onset for line in song.bar_lines if not line.ending and line.style != "final"}


def end_of(song: Song) -> float:
    """Return the length of a song as written, in quarter notes."""
    last_sound = (song.melody.onsets + song.melody.durations)[-1:].max(initial=0.0)
    return max(float(song.sections.max(initial=0.0)), float(last_sound))
