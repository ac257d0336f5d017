"""Right-hand rolls: which pattern of thumb, index and middle finger fills a measure.

Thumb on strings 5, 4 and 3, index on 3 and 2, middle on 1 (common practice, no source).
"""

from collections.abc import Sequence
from itertools import groupby, pairwise

import numpy as np

from melodex.model.tablature import Tab, TabNote

FORWARD, BACKWARD = "forward", "backward"
FORWARD_REVERSE, ALTERNATING_THUMB = "forward-reverse", "alternating-thumb"
PINCH, NO_ROLL = "pinch", "none"

# Eight notes fill a measure, and the last one leads on to the next roll, with any finger.
# Common practice, no source.
NOTES_IN_A_ROLL = 8
_THUMB, _INDEX, _MIDDLE = range(3)
_FINGER_OF_STRING = {1: _MIDDLE, 2: _INDEX, 4: _THUMB, 5: _THUMB}
_FINGERS_OF_STRING_3 = (_THUMB, _INDEX)  # either, but one finger throughout a roll
_FIXED: dict[tuple[int, ...], str] = {
    (_THUMB, _INDEX, _MIDDLE, _THUMB, _MIDDLE, _INDEX, _THUMB, _MIDDLE): FORWARD_REVERSE,
    (_THUMB, _INDEX, _THUMB, _MIDDLE, _THUMB, _INDEX, _THUMB, _MIDDLE): ALTERNATING_THUMB,
}
_AROUND = {1: FORWARD, 2: BACKWARD}  # steps around thumb, index, middle from note to note
_SAME_TIME = 1e-6  # quarter notes


def roll_of(strings: Sequence[tuple[int, ...]]) -> str:
    """Name the roll that strings make.

    Parameters
    ----------
    strings : sequence of tuples
        The strings that the right hand strikes at each moment of a measure, evenly spaced.

    Returns
    -------
    str
        "forward", "backward", "forward-reverse", "alternating-thumb", "pinch" where half of the
        moments or more have strings struck together, or "none".
    """
    if strings and 2 * sum(len(together) > 1 for together in strings) >= len(strings):
        return PINCH
    if len(strings) != NOTES_IN_A_ROLL or any(len(together) > 1 for together in strings[:-1]):
        return NO_ROLL
    kinds = {
        _roll_of_fingers(tuple((_FINGER_OF_STRING | {3: third})[string] for string, *_ in strings))
        for third in _FINGERS_OF_STRING_3
    }
    return min(kinds - {NO_ROLL}, default=NO_ROLL)


def _roll_of_fingers(fingers: tuple[int, ...]) -> str:
    if fingers in _FIXED:
        return _FIXED[fingers]
    steps = {(later - earlier) % 3 for earlier, later in pairwise(fingers[:-1])}
    return _AROUND.get(steps.pop(), NO_ROLL) if len(steps) == 1 else NO_ROLL


def rolls_of(tab: Tab) -> dict[int, str]:
    """Name the roll of every measure of a tab, by the measure's number.

    Notes that the left hand sounds alone count as not struck; a measure whose struck notes are
    not even has no roll.
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
