"""Parse one measure of text tab: the notes, and how each is played."""

import re
from pathlib import Path
from typing import NamedTuple

from melodex.errors import ScoreParseError
from melodex.model.tablature import CHOKE
from melodex.model.tuning import BanjoTuning
from melodex.parsing.tab.tab_cells import TextMeasure

# Signs before the fret that is reached; a choke comes after its fret. Common practice, no source.
_MOVEMENTS = {
    "h": "hammer-on", "p": "pull-off", "/": "slide", "\\": "slide", "s": "slide", "sl": "slide",
}  # fmt: skip
_TARGET = r"(?:[0-9]+|\([0-9]+\))?"  # the fret that a choke reaches or returns to
_SIGNS = re.compile(
    r"(?P<fret>[0-9]+)"
    r"|(?P<movement>sl|[hps/\\])"
    rf"|(?P<choke>(?:ch?|b){_TARGET}(?:r{_TARGET})?)"
    r"|(?P<dead>x)"
    r"|(?P<silent>[- .~()^*o=:]+)"  # rests, and ornaments that do not change the pitch
    r"|(?P<unknown>.)",
    re.IGNORECASE,
)
MOST_DIGITS = 2
_MOST_SHOWN = 10  # digits of a fret in an error
_MOST_NAMED = 5  # places listed one by one in remarks
DEAD = -1  # as a fret: a stroke on a damped string


class TypedNote(NamedTuple):
    """A fret as typed, or a dead note."""

    column: int  # characters from the bar line
    string: int
    fret: int
    left_hand: str = ""  # as in ``TabNote``


class FretReader:
    """Reads measures one after the other, and collects remarks."""

    def __init__(self, tuning: BanjoTuning, shown: Path) -> None:
        self._tuning = tuning
        self._shown = shown  # the path as errors show it
        # By string, a technique whose fret has not been read yet: it may follow the bar line.
        self._begun: dict[int, str] = {}
        self._unknown: dict[str, None] = {}
        self._dead: dict[str, None] = {}
        self._both: dict[str, None] = {}

    def notes(self, measure: TextMeasure, number: int) -> list[TypedNote]:
        """Return the notes of a measure, sorted by column, then by string.

        Raises
        ------
        ScoreParseError
            If a string has no such fret; the message names line and measure.
        """
        notes: list[TypedNote] = []
        for string, (text, line) in enumerate(
            zip(measure.strings, measure.lines, strict=True), start=1
        ):
            try:
                notes += self._on_one_string(text, string, f"line {line}, measure {number}")
            except ValueError as problem:
                reason = f"measure {number}, string {string}: {problem}"
                raise ScoreParseError(self._shown, line=line, reason=reason) from None
        return sorted(notes)

    def remarks(self) -> list[str]:
        """Return a sentence for each kind of sign that was left out, with its places."""
        found = (
            ("Unknown signs were ignored: {}.", self._unknown),
            ("Dead notes (x) have no pitch, and were read as rests: {}.", self._dead),
            ("A note cannot be both reached and choked; the choke was left out: {}.", self._both),
        )
        return [sentence.format(_listed(list(places))) for sentence, places in found if places]

    def _on_one_string(self, text: str, string: int, where: str) -> list[TypedNote]:
        notes: list[TypedNote] = []
        for sign in _SIGNS.finditer(text):
            if sign["fret"]:
                fret = _fret(sign["fret"], string, self._tuning)
                left_hand = self._begun.pop(string, "")
                notes.append(TypedNote(sign.start(), string, fret, left_hand))
            elif sign["movement"]:
                self._begun[string] = _MOVEMENTS[sign["movement"].lower()]
            elif sign["dead"]:
                notes.append(TypedNote(sign.start(), string, DEAD))
                self._dead.setdefault(where)
            elif sign["choke"] and notes and notes[-1].fret != DEAD:
                if notes[-1].left_hand:
                    self._both.setdefault(where)
                else:
                    notes[-1] = notes[-1]._replace(left_hand=CHOKE)
            elif not sign["silent"]:
                self._unknown.setdefault(f"'{sign[0]}' in {where}")
        return notes


def _listed(places: list[str]) -> str:
    more = len(places) - _MOST_NAMED
    return "; ".join([*places[:_MOST_NAMED], *([f"and {more} more"] if more > 0 else [])])


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
