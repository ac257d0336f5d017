"""Which notes of a tab carry the melody inside its rolls."""

from dataclasses import replace
from itertools import groupby

import numpy as np

from melodex.features.rolls import NO_ROLL, rolls_of
from melodex.features.skeleton import DRONE_STRING, THUMB_STRINGS, carries_melody
from melodex.model.tablature import Tab, TabNote

_SAME_TIME = 1e-6  # quarter notes


def with_melody_marked(tab: Tab) -> Tab:
    """Mark the notes that carry the melody in the measures that have a roll.

    They are those that ``carries_melody`` hears, in a pinch the thumb's. Marks that the tab has
    already, because its maker knew the melody, stay in the measures that have other notes as well.
    """
    if any(note.is_melody for note in tab.notes):
        return replace(tab, notes=_marked_beside_fillers(tab))
    rolled = [measure for measure, roll in rolls_of(tab).items() if roll != NO_ROLL]
    melody = tab.song.melody
    carrying = carries_melody(melody.beat_strengths) & np.isin(melody.measures, rolled)
    onsets = {round(onset / _SAME_TIME) for onset in melody.onsets[carrying].tolist()}
    notes: list[TabNote] = []
    for onset, group in groupby(tab.notes, key=lambda note: note.onset):
        together = list(group)
        bearer = _bearer(together) if round(onset / _SAME_TIME) in onsets else None
        notes += [replace(note, is_melody=True) if note is bearer else note for note in together]
    return replace(tab, notes=tuple(notes))


def _marked_beside_fillers(tab: Tab) -> tuple[TabNote, ...]:
    """Return the notes, unmarked where the melody's are the only ones struck in a measure."""
    starts = tab.song.measures.onsets - _SAME_TIME
    measures = np.searchsorted(starts, [note.onset for note in tab.notes], side="right").tolist()
    filled = {
        measure
        for measure, note in zip(measures, tab.notes, strict=True)
        if note.is_struck and not note.is_melody
    }
    return tuple(
        replace(note, is_melody=note.is_melody and measure in filled)
        for measure, note in zip(measures, tab.notes, strict=True)
    )


def _bearer(together: list[TabNote]) -> TabNote | None:
    """Return the note of a moment that bears the melody; None if it drones.

    Strings 1 and 5 pinched together accompany the thumb's melody (common practice, no source).
    """
    strings = {note.string: note for note in together}
    if len(strings) > 1:
        return next((strings[string] for string in THUMB_STRINGS if string in strings), None)
    return next((note for note in together if note.string != DRONE_STRING), None)
