"""A checker of hands that shares no code with the package: what a player would see in a tab.

Facts of the trade; common practice, no source.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from melodex.model.tablature import TabNote

EIGHTH = 0.5  # quarter notes
FAST_ENOUGH = EIGHTH + 1e-4
NOT_STRUCK = {"hammer-on": 1, "pull-off": -1, "slide": 0}  # and which way the pitch goes


def strokes(notes: Iterable[TabNote]) -> list[tuple[float, list[TabNote]]]:
    """List the strokes of the right hand: onset, and what is struck there."""
    at: dict[float, list[TabNote]] = defaultdict(list)
    for note in notes:
        if note.left_hand not in NOT_STRUCK:
            at[round(note.onset, 4)].append(note)
    return sorted(at.items())


def repeated_fingers(
    notes: Iterable[TabNote], begin: float, end: float
) -> Iterator[tuple[float, str]]:
    """List where a finger plays twice in a row, fast, one of the two strokes in a stretch."""
    every = strokes(notes)
    for number in range(1, len(every)):
        (earlier, before), (later, after) = every[number - 1], every[number]
        touches = begin - 1e-4 <= earlier < end - 1e-4 or begin - 1e-4 <= later < end - 1e-4
        if touches and later - earlier <= FAST_ENOUGH:
            fingers = {note.finger for note in before if note.finger}
            for note in after:
                if note.finger in fingers:
                    yield later, note.finger


def impossible_fingers(notes: Iterable[TabNote]) -> Iterator[str]:
    """List strokes that no right hand plays: a finger twice at once, or another than the thumb
    on the short string; a note that is struck by none, or by one while the left hand sounds it.
    """
    every = list(notes)
    for onset, struck in strokes(every):
        fingers = [note.finger for note in struck]
        if not all(fingers):
            yield f"a stroke without a finger at {onset}"
        if len(set(fingers)) < len(fingers) and set(fingers) != {"T"}:
            yield f"fingers {fingers} at once at {onset}"
        if any(note.string == 5 and note.finger != "T" for note in struck):
            yield f"the short string without the thumb at {onset}"
    for note in every:
        if note.left_hand in NOT_STRUCK and note.finger:
            yield f"a finger strikes a {note.left_hand} at {note.onset}"


def impossible_slurs(notes: Iterable[TabNote]) -> Iterator[str]:
    """List slurs that do not begin on another fret of their string, or go the wrong way."""
    fret_on: dict[int, int] = {}
    for note in sorted(notes, key=lambda each: each.onset):
        if note.left_hand in NOT_STRUCK:
            moved = note.fret - fret_on.get(note.string, note.fret)
            if not moved or moved * NOT_STRUCK[note.left_hand] < 0:
                yield f"a {note.left_hand} to fret {note.fret} of string {note.string}"
        fret_on[note.string] = note.fret


def techniques(notes: Iterable[TabNote], begin: float = 0.0) -> list[tuple[object, ...]]:
    """List string, fret and left hand of every note, by time from ``begin``."""
    return sorted(
        (round(note.onset - begin, 4), note.string, note.fret, note.left_hand) for note in notes
    )
