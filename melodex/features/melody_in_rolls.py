"""Mark the notes of a tab that carry the melody inside its rolls."""

from dataclasses import replace
from itertools import groupby

import numpy as np

from melodex.features.playing.rolls import NO_ROLL, rolls_of
from melodex.features.skeleton import DRONE_STRING, THUMB_STRINGS, carries_melody
from melodex.model.tablature import Tab, TabNote

_SAME_TIME = 1e-6  # quarter notes


def with_melody_marked(tab: Tab) -> Tab:
    """Return a tab with its melody notes marked in measures that have a roll.

    They are found by ``carries_melody``; in a pinch the thumb's note is the melody. Marks that the
    tab already has, because its arranger knew the melody, stay in measures that also have other
    notes.
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
        carrier = _melody_note(together) if round(onset / _SAME_TIME) in onsets else None
        notes += [replace(note, is_melody=True) if note is carrier else note for note in together]
    return replace(tab, notes=tuple(notes))


def _marked_beside_fillers(tab: Tab) -> tuple[TabNote, ...]:
    """Return the notes; marks are removed in measures where only melody notes are struck."""
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


def _melody_note(together: list[TabNote]) -> TabNote | None:
    """Return the melody note among notes that sound together; None if they only accompany.

    Strings 1 and 5 pinched together accompany the thumb's melody (common practice, no source).
    """
    strings = {note.string: note for note in together}
    if len(strings) > 1:
        return next((strings[string] for string in THUMB_STRINGS if string in strings), None)
    return next((note for note in together if note.string != DRONE_STRING), None)
