"""One measure of text tab: which strings sound at which character."""

import re
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError
from melodex.model.tuning import BanjoTuning
from melodex.parsing.tab.tab_lines import TabMeasure

_FRET = re.compile(r"\d+")
# Between two frets of a string. Common practice, no source.
LEFT_HAND_SIGNS = {"h": "hammer-on", "p": "pull-off", "/": "slide", "\\": "slide", "s": "slide"}
_SILENT = frozenset("- .~()^*o=")  # rests, and ornaments that change no pitch
MOST_DIGITS = 2
_MOST_SHOWN = 10  # digits of a fret in an error


class TypedNote(NamedTuple):
    """A fret as typed."""

    column: int  # characters from the bar line
    string: int
    fret: int
    left_hand: str  # how it is reached from the fret before it on its string, or ""


def typed_notes(
    measure: TabMeasure, number: int, tuning: BanjoTuning, shown: Path
) -> list[TypedNote]:
    """Read the frets of a measure, from left to right, string 1 first.

    Parameters
    ----------
    number : int
        The measure's number, for errors.
    shown : Path
        What errors call the file.

    Raises
    ------
    ScoreParseError
        If a sign is unknown, or a string has no such fret.
    """
    notes: list[TypedNote] = []
    for string, (text, line) in enumerate(zip(measure.strings, measure.lines, strict=True), 1):
        try:
            notes += _on_one_string(text, string, tuning)
        except ValueError as problem:
            reason = f"measure {number}, string {string}: {problem}"
            raise ScoreParseError(shown, line=line, reason=reason) from None
    return sorted(notes)


def _on_one_string(text: str, string: int, tuning: BanjoTuning) -> list[TypedNote]:
    notes: list[TypedNote] = []
    after = 0
    for match in _FRET.finditer(text):
        left_hand = _sign_in(text[after : match.start()])
        notes.append(TypedNote(match.start(), string, _fret(match[0], string, tuning), left_hand))
        after = match.end()
    _sign_in(text[after:])
    return notes


def _sign_in(gap: str) -> str:
    """Return what the signs between two frets mean; the last counts."""
    left_hand = ""
    for sign in gap:
        if sign.lower() in LEFT_HAND_SIGNS:
            left_hand = LEFT_HAND_SIGNS[sign.lower()]
        elif sign not in _SILENT:
            raise ValueError(f"the sign '{sign}' is unknown; frets, dashes and h p / \\ are read")
    return left_hand


def _fret(digits: str, string: int, tuning: BanjoTuning) -> int:
    if len(digits) > MOST_DIGITS or not tuning.has(string, int(digits)):
        short = (
            f", it begins at fret {tuning.short_string_nut}"
            if string == len(tuning.strings)
            else ""
        )
        shown = digits if len(digits) <= _MOST_SHOWN else f"{digits[:_MOST_SHOWN]}…"
        raise ValueError(
            f"it has no fret {shown}{short}; put a dash between two frets, or change the fret"
        )
    return int(digits)
