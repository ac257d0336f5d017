"""Left-hand slurs whose first note is missing: their second note is struck instead."""

from collections.abc import Iterable
from dataclasses import replace

from melodex.model.tablature import TabNote


def struck_without_starts(
    notes: Iterable[TabNote], of: Iterable[TabNote], *, preceding: Iterable[TabNote] = ()
) -> list[TabNote]:
    """Return notes of a tab, with slurred notes made struck if their first note is missing.

    Parameters
    ----------
    notes : iterable of TabNote
        Some of a tab's notes, sorted by onset.
    of : iterable of TabNote
        All notes of that tab, sorted by onset.
    preceding : iterable of TabNote
        Notes played before ``notes``, sorted by onset.
    """
    start_of: dict[tuple[float, int], TabNote | None] = {}
    last: dict[int, TabNote] = {}
    for note in of:
        start_of[note.onset, note.string] = last.get(note.string)
        last[note.string] = note
    now = {note.string: _place(note) for note in preceding}
    kept: list[TabNote] = []
    for note in notes:
        start = start_of.get((note.onset, note.string))
        is_lost = start is None or now.get(note.string) != _place(start)
        kept.append(replace(note, left_hand="") if is_lost and not note.is_struck else note)
        now[note.string] = _place(note)
    return kept


def _place(note: TabNote) -> tuple[float, int]:
    return note.onset, note.fret
