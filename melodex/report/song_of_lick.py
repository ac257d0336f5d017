"""Convert a lick to a song, so that it can be drawn and played."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from melodex._types import Beats
from melodex.model.lick import Lick
from melodex.model.melody import Melody
from melodex.model.song import MeasureGrid, Song, Source
from melodex.parsing.beat_strength import beat_strengths

GRID = Fraction(1, 24)  # of a quarter note: all positions of sixteenths and of their triplets


def song_of_lick(lick: Lick, title: str = "The lick") -> Song:
    """Return a lick as a song with bar lines; time 0 is a bar line before the first note."""
    melody = lick.melody
    starts = melody.onsets - melody.onsets[0]
    place = place_in_measure(lick)
    moved = replace(melody, onsets=starts + place)
    grid = _bar_lines(lick, moved)
    end = float(moved.onsets[-1] + moved.durations[-1])
    return Song(
        title=title,
        melody=replace(moved, measures=_numbers_at(moved.onsets, grid)),
        measures=grid,
        sections=np.array([[0.0, max(end, _end_of(lick, grid))]]),
        source=Source(lick.came_from),
        metre=lick.metre,
    )


def place_in_measure(lick: Lick) -> float:
    """Return the quarter notes from the bar line to a lick's first note.

    A lick stores the beat strength of each note, from which the bar line is inferred: the first
    position that reproduces the strengths of most notes.
    """
    if lick.metre.is_free:
        return 0.0
    melody = lick.melody
    starts = melody.onsets - melody.onsets[0]
    places = np.arange(int(lick.metre.measure_length / GRID)) * float(GRID)
    agree = [
        int(np.isclose(beat_strengths(starts + place, lick.metre), melody.beat_strengths).sum())
        for place in places.tolist()
    ]
    return float(places[int(np.argmax(agree))])


def _bar_lines(lick: Lick, melody: Melody) -> MeasureGrid:
    first = int(melody.measures[0])
    if lick.metre.is_free:
        enters = np.flatnonzero(np.diff(melody.measures, prepend=first - 1))
        onsets = melody.onsets[enters]
    else:
        end = float(melody.onsets[-1] + melody.durations[-1])
        onsets = np.arange(0.0, end, float(lick.metre.measure_length))
    numbers = np.arange(first, first + len(onsets), dtype=np.int32)
    return MeasureGrid(onsets, numbers)


def _numbers_at(onsets: Beats, grid: MeasureGrid) -> NDArray[np.int32]:
    return grid.numbers[np.searchsorted(grid.onsets, onsets + float(GRID) / 2, side="right") - 1]


def _end_of(lick: Lick, grid: MeasureGrid) -> float:
    return float(grid.onsets[-1]) + float(lick.metre.measure_length)
