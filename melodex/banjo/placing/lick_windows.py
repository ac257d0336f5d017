"""The stretches of a song that a lick can fill with its notes at their own metric positions."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from melodex._types import Beats, Strengths
from melodex.errors import MelodyError
from melodex.model.lick import Lick
from melodex.model.song import Song
from melodex.parsing.beat_strength import beat_strengths
from melodex.parsing.measures import ROUNDING, MeasureList, measure_list_of

_FINEST = 1 / 24  # quarter notes; a lick starts on a multiple of it


@dataclass(frozen=True, slots=True, eq=False)
class LickWindow:
    """A stretch of a song with the lick's notes placed in it; times in quarter notes."""

    onsets: Beats  # shape (n_notes,), of the lick's notes
    strengths: Strengths  # shape (n_notes,)
    measures: tuple[int, ...]  # shape (n_notes,), the number of each note's measure
    begin: float
    end: float


def windows_of(song: Song, lick: Lick) -> list[LickWindow]:
    """Return the windows for a lick, in order; none crosses a repeat sign or an ending.

    A lick without a metre begins on a downbeat.

    Raises
    ------
    MelodyError
        If there is none; the message says why.
    """
    grid = measure_list_of(song)
    found = [window for window in _of_length(grid, lick) if not _seam_inside(song, window)]
    if not found:
        raise _no_window(song, grid, lick)
    return found


def position_in_measure(lick: Lick) -> float:
    """Return the position in the measure where a lick starts, in quarter notes.

    Onsets may be relative to any time, so it is inferred from measures and beat strengths.
    """
    melody, metre = lick.melody, lick.metre
    if metre.is_free:
        return 0.0
    length = float(metre.measure_length)
    new_measure = np.diff(melody.measures) != 0
    for position in np.arange(0.0, length, _FINEST).tolist():
        places = melody.onsets - melody.onsets[0] + position
        crosses = np.diff((places + ROUNDING) // length) != 0
        strengths = beat_strengths(places, metre)
        if np.array_equal(crosses, new_measure) and np.allclose(strengths, melody.beat_strengths):
            return float(position)
    return 0.0


def _of_length(grid: MeasureList, lick: Lick) -> Iterator[LickWindow]:
    melody = lick.melody
    behind_first = melody.onsets - melody.onsets[0]
    position, length = position_in_measure(lick), _length(lick)
    bar_lines = [*grid.onsets, grid.end]
    numbers = np.array(grid.numbers)
    for (onset, next_bar), at in zip(pairwise(bar_lines), grid.positions, strict=True):
        begin = onset - at + position
        if not onset - ROUNDING <= begin < next_bar - ROUNDING:
            continue
        if begin + length > grid.end + ROUNDING:
            return
        onsets = begin + behind_first
        measure_of = grid.measure_of(onsets)
        strengths = grid.strengths(onsets, measure_of)
        if lick.metre.is_free or np.allclose(strengths, melody.beat_strengths):
            measures = tuple(numbers[measure_of].tolist())
            yield LickWindow(onsets, strengths, measures, begin, begin + length)


def _length(lick: Lick) -> float:
    melody = lick.melody
    return float(melody.onsets[-1] + melody.durations[-1] - melody.onsets[0])


def _seam_inside(song: Song, window: LickWindow) -> bool:
    return any(
        window.begin + ROUNDING < line.onset < window.end - ROUNDING
        and (line.style.startswith("repeat") or line.ending)
        for line in song.bar_lines
    )


def _no_window(song: Song, grid: MeasureList, lick: Lick) -> MelodyError:
    length = _length(lick)
    if length > grid.end + ROUNDING:
        return MelodyError(
            f"The lick lasts {length:g} quarter notes, and {song.title} ends after {grid.end:g}, "
            f"in measure {grid.numbers[-1]}.",
            "give a shorter part of the lick, or choose a longer song.",
        )
    if not lick.metre.is_free and lick.metre not in grid.metres:
        return MelodyError(
            f"The lick is in {lick.metre}, and measure {grid.numbers[0]} of {song.title} is in "
            f"{song.metre}.",
            f"choose a song in {lick.metre} (melodex songs --metre {lick.metre}), or give the lick "
            f"as ABC with a line M:{song.metre} before it.",
        )
    return MelodyError(
        f"{song.title} has no {length:g} quarter notes in a row, without a repeat sign or an "
        f"ending between, that suit the lick's place in the measure; it has measures "
        f"{grid.numbers[0]} to {grid.numbers[-1]}.",
        "give a shorter part of the lick.",
    )
