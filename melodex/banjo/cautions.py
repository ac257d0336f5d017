"""Find where a tab strains the hands: stretches, leaps, fast rolls, a finger twice in a row.

Only the finished tab is examined, whoever made it. Limits are common practice, no source.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby, pairwise
from typing import NamedTuple

import numpy as np

from melodex.banjo.fingering_settings import (
    DOWN_THE_NECK,
    FARTHEST_FAST_SHIFT,
    FAST,
    FASTEST_EASY_ROLL,
    FREE_REACH,
    HIGHEST_POSITION,
    LEARNERS_TEMPO,
    LONGEST_REACH,
    SECONDS_A_MINUTE,
    is_fast,
)
from melodex.features.measure_runs import runs_of_measures
from melodex.model.song import Song
from melodex.model.tablature import Tab, TabNote
from melodex.parsing.measures import ROUNDING

CAUTION = (
    "Take such places slowly, move the hand or leave a note out, and rest as soon as a hand tires; "
    "never play on through pain."
)
STROKES_OF_A_ROLL = 8


class _Together(NamedTuple):
    """The notes that begin at one moment."""

    onset: float  # quarter notes
    notes: tuple[TabNote, ...]

    @property
    def frets(self) -> list[int]:
        """The frets that the left hand holds."""
        return [note.fret for note in self.notes if note.fret]

    @property
    def fingers(self) -> set[str]:
        """The fingers that strike, if the tab states them."""
        return {note.finger for note in self.notes if note.finger and note.is_struck}


def with_cautions(tab: Tab, measures: tuple[int, int] | None = None) -> Tab:
    """Return a tab with its cautions, or those of some measures, as in ``cautions_of``."""
    return replace(tab, cautions=tuple(cautions_of(tab, measures)))


def cautions_of(tab: Tab, measures: tuple[int, int] | None = None) -> list[str]:
    """Return the measures in which a tab strains the hands.

    Parameters
    ----------
    measures : (int, int) or None
        First and last measure to examine, as written; None for all.

    Returns
    -------
    list of str
        A sentence for each kind of strain, then advice; empty if there is none. The right hand is
        examined where the tab states its fingers.
    """
    moments = [
        _Together(onset, tuple(notes))
        for onset, notes in groupby(tab.notes, key=lambda note: note.onset)
    ]
    fretted = [moment for moment in moments if moment.frets]
    positions = _positions(fretted)
    found = [
        ("The left hand stretches over five frets or more in", _stretches(fretted, positions)),
        ("The left hand leaps in", _leaps(fretted, positions)),
        ("A fast roll runs through", _fast_rolls(moments, tab.song.tempo or LEARNERS_TEMPO)),
        ("A finger of the right hand strikes twice in a row at speed in", _repeated(moments)),
    ]
    first, last = measures or (min(tab.song.measures.numbers), max(tab.song.measures.numbers))
    places = [(what, _measures_at(tab.song, onsets)) for what, onsets in found if onsets]
    shown = [(what, [n for n in numbers if first <= n <= last]) for what, numbers in places]
    cautions = [f"{what} {_measures_in_words(numbers)}." for what, numbers in shown if numbers]
    return [*cautions, CAUTION] if cautions else []


def _positions(fretted: Sequence[_Together]) -> list[int]:
    """Return the index finger's fret at each moment, minimising shifts and stretches."""
    if not fretted:
        return []
    costs = DOWN_THE_NECK
    choices = [_within_reach(moment.frets) for moment in fretted]
    total = np.zeros(len(choices[0]))
    steps_back: list[list[int]] = []
    for place, (moment, choice) in enumerate(zip(fretted, choices, strict=True)):
        own = costs.stretch * (max(moment.frets) > choice + FREE_REACH)
        if place:
            sums = total[:, None] + costs.shift * np.abs(choices[place - 1][:, None] - choice)
            steps_back.append(sums.argmin(axis=0).tolist())
            total = sums.min(axis=0)
        total = total + own
    chosen = [int(total.argmin())]
    for step in reversed(steps_back):
        chosen.append(step[chosen[-1]])
    return [int(choice[way]) for choice, way in zip(choices, reversed(chosen), strict=True)]


def _within_reach(frets: Sequence[int]) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    lowest = min(*frets, HIGHEST_POSITION)
    return np.arange(min(max(max(frets) - LONGEST_REACH, 1), lowest), lowest + 1)


def _stretches(fretted: Sequence[_Together], positions: Sequence[int]) -> list[float]:
    return [
        moment.onset
        for moment, position in zip(fretted, positions, strict=True)
        if max(moment.frets) > position + FREE_REACH
    ]


def _leaps(fretted: Sequence[_Together], positions: Sequence[int]) -> list[float]:
    """Return where the hand moves more than four frets within an eighth note, except in a slide."""
    return [
        moment.onset
        for (earlier, moment), (before, after) in zip(
            pairwise(fretted), pairwise(positions), strict=True
        )
        if abs(after - before) * FAST
        > FARTHEST_FAST_SHIFT * (moment.onset - earlier.onset) + ROUNDING
        and not any(note.left_hand == "slide" for note in moment.notes)
    ]


def _fast_rolls(moments: Sequence[_Together], tempo: float) -> list[float]:
    """Return the strokes of every long run that is faster than is easy for a hand."""
    struck = [moment.onset for moment in moments if any(note.is_struck for note in moment.notes)]
    most = tempo / SECONDS_A_MINUTE / FASTEST_EASY_ROLL - ROUNDING  # quarter notes
    return [onset for run in _runs(struck, most) if len(run) >= STROKES_OF_A_ROLL for onset in run]


def _runs(onsets: Iterable[float], most: float) -> Iterator[list[float]]:
    """Split strokes where the next one comes after ``most`` quarter notes or more."""
    run: list[float] = []
    for onset in onsets:
        if run and onset - run[-1] >= most:
            yield run
            run = []
        run.append(onset)
    yield run


def _repeated(moments: Iterable[_Together]) -> list[float]:
    struck = [moment for moment in moments if moment.fingers]
    return [
        moment.onset
        for earlier, moment in pairwise(struck)
        if is_fast(earlier.onset, moment.onset) and earlier.fingers & moment.fingers
    ]


def _measures_at(song: Song, onsets: Sequence[float]) -> list[int]:
    grid = song.measures
    places = np.searchsorted(grid.onsets, np.array(onsets) + ROUNDING, side="right") - 1
    return list(dict.fromkeys(grid.numbers[np.maximum(places, 0)].tolist()))


def _measures_in_words(numbers: Sequence[int]) -> str:
    runs = runs_of_measures(numbers)
    names = [f"{first}-{last}" if last > first else str(first) for first, last in runs]
    return f"measure{'s'[: len(numbers) > 1]} {', '.join(names)}"
