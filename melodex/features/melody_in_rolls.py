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

    They are those that ``carries_melody`` hears, in a pinch the thumb's. A tab of which some notes
    are marked already, because its maker knew them, is returned as it is.
    """
    if any(note.is_melody for note in tab.notes):
        return tab
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


def _bearer(together: list[TabNote]) -> TabNote | None:
    """Return the note of a moment that bears the melody; None if only the drone sounds."""
    strings = {note.string: note for note in together if note.string != DRONE_STRING}
    if len(together) > 1:
        for string in THUMB_STRINGS:
            if string in strings:
                return strings[string]
    return next(iter(strings.values()), None)
