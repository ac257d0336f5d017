"""Measure what a song demands of its player."""

from collections.abc import Sequence
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from melodex.features.melody_in_rolls import with_melody_marked
from melodex.features.playing.techniques import techniques_of
from melodex.model.demands import Demands, HandDemands
from melodex.model.melody import Melody
from melodex.model.metre import Metre
from melodex.model.tablature import Tab, TabNote

# Assumed length of a measure of a song without a tempo, in any metre: dance tunes are written in
# 2/4 with sixteenths, in 4/4 with eighths and in 6/8, and are played alike. It is 4/4 at 120
# quarter notes a minute, the middle of a metronome. Common practice, no source.
SECONDS_OF_A_MEASURE = 2.0
_QUARTERS_OF_FREE_METRE = 4.0  # quarter notes counted as a measure
WIDEST_THIRD = 4  # half-steps; wider steps are leaps
_SAME_TIME = 1e-6  # quarter notes
_EQUAL_STEPS = 1e-3  # quarter notes; a triplet's notes differ by less


def demands_of(
    melody: Melody, metre: Metre, tempo: float | None, tab: Tab | None = None
) -> Demands | None:
    """Return what a song demands of its player; None if it has no notes.

    Parameters
    ----------
    melody : Melody
        As written: repeats do not add to the difficulty.
    tempo : float or None
        Quarter notes a minute; None if none is stated.
    tab : Tab or None
        The tab that the song was read with. If given, range and leaps are measured on the notes
        that carry the melody, without the filler notes of rolls.
    """
    if not len(melody):
        return None
    pitches = melody.pitches if tab is None else melody.pitches[_carrying(melody, tab)]
    steps = np.abs(np.diff(pitches.astype(np.int64)))
    quarters = float(melody.onsets[-1] + melody.durations[-1] - melody.onsets[0])
    return Demands(
        half_steps=int(np.ptp(pitches)) if len(pitches) else 0,
        leaps=_share(steps > WIDEST_THIRD),
        widest_leap=int(steps.max(initial=0)),
        uneven=_share(_changes_of_rhythm(melody)),
        notes_per_second=len(melody) / (quarters * _seconds_of_a_quarter(metre, tempo)),
        tempo=tempo,
        hands=None if tab is None else _hands_of(tab),
        uses=None if tab is None else techniques_of(tab),
    )


def _share(those: NDArray[np.bool_]) -> float:
    return float(those.mean()) if len(those) else 0.0


def _seconds_of_a_quarter(metre: Metre, tempo: float | None) -> float:
    if tempo is not None:
        return 60 / tempo
    return SECONDS_OF_A_MEASURE / (float(metre.measure_length) or _QUARTERS_OF_FREE_METRE)


def _carrying(melody: Melody, tab: Tab) -> NDArray[np.bool_]:
    """Return whether each note carries the melody; in measures without a roll all do."""
    marked = [note.onset for note in with_melody_marked(tab).notes if note.is_melody]
    places = np.searchsorted(melody.onsets, np.array(marked) - _SAME_TIME)
    carrying = np.zeros(len(melody), np.bool_)
    carrying[places] = True
    return carrying | ~np.isin(melody.measures, melody.measures[places])


def _changes_of_rhythm(melody: Melody) -> NDArray[np.bool_]:
    """Return, for all notes but the first and the last, whether the duration changes there."""
    changes: NDArray[np.bool_] = np.abs(np.diff(np.diff(melody.onsets))) > _EQUAL_STEPS
    return changes


def _hands_of(tab: Tab) -> HandDemands:
    stopped: set[tuple[int, int]] = set()
    moves = 0
    for _, together in groupby(tab.notes, key=lambda note: note.onset):
        here = {(note.string, note.fret) for note in together if note.fret}
        moves += len(here - stopped)
        stopped = here or stopped
    patterns = _right_hand(tab)
    return HandDemands(
        moves=moves / max(len(set(tab.song.measures.numbers.tolist())), 1),
        highest_fret=max((note.fret for note in tab.notes), default=0),
        patterns=len(set(patterns)),
        measures=len(patterns),
    )


def _right_hand(tab: Tab) -> list[tuple[tuple[float, int], ...]]:
    """Return what the right hand strikes in each measure: (quarter notes from bar line, string).

    Measures in which it strikes nothing are left out.
    """
    starts = tab.song.measures.onsets

    def measure_of(note: TabNote) -> int:
        return int(np.searchsorted(starts - _SAME_TIME, note.onset, side="right")) - 1

    struck = [note for note in tab.notes if note.is_struck]
    return [
        _pattern(list(notes), float(starts[measure]))
        for measure, notes in groupby(struck, key=measure_of)
    ]


def _pattern(notes: Sequence[TabNote], start: float) -> tuple[tuple[float, int], ...]:
    return tuple((round(note.onset - start, 3), note.string) for note in notes)
