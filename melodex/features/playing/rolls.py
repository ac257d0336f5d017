"""Right-hand rolls: the pattern of thumb, index and middle finger in a measure.

Thumb on strings 5, 4 and 3, index on 3 and 2, middle on 1 (common practice, no source).
"""

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from melodex.model.tablature import Tab, TabNote

FORWARD, BACKWARD = "forward", "backward"
FORWARD_REVERSE, ALTERNATING_THUMB = "forward-reverse", "alternating-thumb"
PINCH, NO_ROLL = "pinch", "none"

# A measure has eight notes, in a waltz or jig six; the last leads to the next roll, and may be
# played by any finger. Common practice, no source.
NOTES_IN_A_ROLL = 8
_FINGER_OF_STRING = {1: "M", 2: "I", 4: "T", 5: "T"}
_FINGERS_OF_STRING_3 = "TI"  # either, but the same finger throughout a roll
# By number of notes: the fingers of all but the last. A roll may begin at any finger of its cycle.
_PATTERNS = {
    NOTES_IN_A_ROLL: {
        FORWARD: ("TIMTIMT", "IMTIMTI", "MTIMTIM"),
        BACKWARD: ("MITMITM", "ITMITMI", "TMITMIT"),
        FORWARD_REVERSE: ("TIMTMIT",),
        ALTERNATING_THUMB: ("TITMTIT",),
    },
    6: {
        FORWARD: ("TIMTI", "IMTIM", "MTIMT"),
        BACKWARD: ("MITMI", "ITMIT", "TMITM"),
        FORWARD_REVERSE: ("TIMTM",),
        ALTERNATING_THUMB: ("TITMT",),
    },
}
_SAME_TIME = 1e-6  # quarter notes


def roll_of(strings: Sequence[tuple[int, ...]]) -> str:
    """Return the name of the roll that a sequence of strings makes.

    Parameters
    ----------
    strings : sequence of tuples
        The strings that the right hand strikes at each moment of a measure, evenly spaced. If a
        melody note is pinched with the roll's string, one of the two has to fit the roll.

    Returns
    -------
    str
        "forward", "backward", "forward-reverse", "alternating-thumb", "pinch" if at half of the
        moments or more strings are struck together, or "none". If pinches fit several rolls, the
        first in this order.
    """
    if strings and 2 * sum(len(together) > 1 for together in strings) >= len(strings):
        return PINCH
    hands = [_FINGER_OF_STRING | {3: finger} for finger in _FINGERS_OF_STRING_3]
    readings = [[{hand[string] for string in together} for together in strings] for hand in hands]
    for kind, patterns in _PATTERNS.get(len(strings), {}).items():
        if any(_follows(fingers, pattern) for fingers in readings for pattern in patterns):
            return kind
    return NO_ROLL


def _follows(fingers: Sequence[set[str]], pattern: str) -> bool:
    return all(finger in at_once for finger, at_once in zip(pattern, fingers, strict=False))


def rolls_of(tab: Tab) -> dict[int, str]:
    """Return the roll of every measure of a tab, by measure number.

    Notes sounded by the left hand alone do not count; a measure whose struck notes are not evenly
    spaced has no roll.
    """
    numbers = tab.song.measures.numbers.tolist()
    rolls = dict.fromkeys(numbers, NO_ROLL)
    struck = [note for note in tab.notes if note.is_struck]
    starts = tab.song.measures.onsets - _SAME_TIME
    places = np.searchsorted(starts, [note.onset for note in struck], side="right") - 1
    by_measure = groupby(zip(places.tolist(), struck, strict=True), key=lambda pair: pair[0])
    for place, pairs in by_measure:
        rolls[numbers[place]] = _roll_of_measure([note for _, note in pairs])
    return rolls


def _roll_of_measure(struck: Sequence[TabNote]) -> str:
    moments = [
        (onset, tuple(note.string for note in together))
        for onset, together in groupby(struck, key=lambda note: note.onset)
    ]
    strings = [together for _, together in moments]
    kind = roll_of(strings)
    steps = np.diff([onset for onset, _ in moments])
    is_even = bool(len(steps)) and bool(np.ptp(steps) < _SAME_TIME)
    return kind if is_even or kind == PINCH else NO_ROLL
