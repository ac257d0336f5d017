"""The techniques used in a tab, and the measures in which they occur."""

from collections import defaultdict
from itertools import groupby

import numpy as np

from melodex.features.playing.rolls import NO_ROLL, PINCH, rolls_of
from melodex.model.demands import TechniqueUse
from melodex.model.tablature import Tab, TabNote
from melodex.model.tuning import NAMED_TUNINGS, UP_THE_NECK

CAPO, POSITION = "capo", "up the neck"
_ROLL, _TUNING = "{} roll", "{} tuning"
_SAME_TIME = 1e-6  # quarter notes


def techniques_of(tab: Tab) -> tuple[TechniqueUse, ...]:
    """Return the techniques used in a tab, sorted by name.

    They are its rolls ("forward roll", "backward roll", "forward-reverse roll", "alternating-thumb
    roll"), "pinch" (strings struck together), "hammer-on", "pull-off", "slide", "choke", "up the
    neck" (fret 7 or higher), its tuning ("open G tuning") and "capo". The last two apply to the
    whole song, and list no measures.
    """
    measures: defaultdict[str, set[int]] = defaultdict(set)
    for measure, roll in rolls_of(tab).items():
        if roll not in {NO_ROLL, PINCH}:
            measures[_ROLL.format(roll)].add(measure)
    for measure, note in _by_measure(tab):
        if note.left_hand:
            measures[note.left_hand].add(measure)
        if note.fret >= UP_THE_NECK:
            measures[POSITION].add(measure)
    struck = [pair for pair in _by_measure(tab) if pair[1].is_struck]
    for _, together in groupby(struck, key=lambda pair: pair[1].onset):
        (measure, _), *others = together
        if others:
            measures[PINCH].add(measure)
    uses = [TechniqueUse(name, tuple(sorted(those))) for name, those in measures.items()]
    uses += [TechniqueUse(name, ()) for name in _of_the_whole_song(tab)]
    return tuple(sorted(uses, key=lambda use: use.technique))


def _of_the_whole_song(tab: Tab) -> list[str]:
    tuning = tab.tuning
    named = any(tuning.name == each.name for each in NAMED_TUNINGS)
    name = _TUNING.format(tuning.name if named else tuning)
    return [name, CAPO] if tuning.capo or tuning.short_string_capo else [name]


def _by_measure(tab: Tab) -> list[tuple[int, TabNote]]:
    """Return each note with the number of its measure."""
    numbers = tab.song.measures.numbers
    starts = tab.song.measures.onsets - _SAME_TIME
    places = np.searchsorted(starts, [note.onset for note in tab.notes], side="right") - 1
    return list(zip(numbers[places].tolist(), tab.notes, strict=True))
