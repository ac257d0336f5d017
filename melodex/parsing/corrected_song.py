"""Apply a user's corrections to a song whose metre, pickup or key was misread."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from melodex.errors import QueryError
from melodex.model.correction import Correction
from melodex.model.metre import Metre
from melodex.model.song import MetreChange, Song
from melodex.parsing.measures import ROUNDING, MeasureList, end_of, list_measures, seams_of


def corrected_song(song: Song, correction: Correction) -> Song:
    """Return a song with a correction applied.

    A new metre or pickup replaces the bar lines by regular ones after the pickup; repeats, endings
    and the order of playing stay. If most measures already have the length of the new metre, the
    bar lines stay and only the metre is replaced.

    Raises
    ------
    QueryError
        If the pickup is not shorter than a measure, or the song has no metre.
    """
    if correction.title is not None:
        song = replace(song, title=correction.title)
    if correction.key is not None:
        song = replace(song, key=correction.key)
    if correction.metre is not None or correction.pickup is not None:
        song = _with_measures(song, correction.metre, correction.pickup)
    return song


def _with_measures(song: Song, metre: Metre | None, pickup: float | None) -> Song:
    metres = [MetreChange(0.0, metre or song.metre)]
    if metre is None:
        metres += song.metre_changes
    measures = _measures(song, metres, pickup)
    measure_of = measures.measure_of(song.melody.onsets)
    numbers = np.array(measures.numbers, np.int32)
    return replace(
        song,
        melody=replace(
            song.melody,
            measures=numbers[measure_of],
            beat_strengths=measures.strengths(song.melody.onsets, measure_of),
        ),
        measures=measures.grid(),
        metre=metres[0].metre,
        metre_changes=tuple(metres[1:]),
    )


def _measures(song: Song, metres: Sequence[MetreChange], pickup: float | None) -> MeasureList:
    end, seams, onsets = end_of(song), seams_of(song), song.measures.onsets.tolist()
    length = float(metres[0].metre.measure_length)
    if pickup is None:
        if metres[0].metre.is_free or _is_usual_length(song, length):
            return list_measures(onsets, end, metres, seams)
        pickup = pickup_of(song) % length
    elif metres[0].metre.is_free:
        raise QueryError(
            "A song without a metre has no pickup.", "correct its metre as well, or leave this out."
        )
    elif pickup >= length:
        raise QueryError(
            f"A pickup of {pickup:g} quarter notes is not shorter than a measure of "
            f"{metres[0].metre}.",
            f"give less than {length:g} quarter notes.",
        )
    # Keep bar lines where endings begin, or where a repeat or double bar divides a measure.
    stated = {line.onset for line in song.bar_lines}
    lines = sorted({*_regular_bar_lines(pickup, end, metres), *stated})
    return list_measures(_without_doubles(lines, stated), end, metres, seams)


def pickup_of(song: Song) -> float:
    """Return the quarter notes before the first full measure."""
    grid = song.measures
    has_one = len(grid.onsets) > 1 and grid.numbers[0] == 0
    return float(grid.onsets[1]) if has_one else 0.0


def _is_usual_length(song: Song, length: float) -> bool:
    """Return whether most measures of a song have this length in quarter notes."""
    lengths = np.diff([*song.measures.onsets.tolist(), end_of(song)])
    return bool(2 * np.count_nonzero(np.abs(lengths - length) < ROUNDING) > len(lengths))


def _regular_bar_lines(pickup: float, end: float, metres: Sequence[MetreChange]) -> Iterator[float]:
    onset, place = pickup, 0
    while onset < end:
        while place + 1 < len(metres) and metres[place + 1].onset <= onset + ROUNDING:
            place += 1
        yield onset
        length = float(metres[place].metre.measure_length)
        if length == 0:  # free metre from here on: no bar line is known
            return
        onset += length


def _without_doubles(lines: Sequence[float], stated: set[float]) -> list[float]:
    """Drop regular bar lines that coincide with a stated one, up to rounding."""
    return [
        line
        for line in lines
        if line in stated or not any(abs(line - each) < ROUNDING for each in stated)
    ]
