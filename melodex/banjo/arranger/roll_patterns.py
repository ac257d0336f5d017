"""The strings that each roll strikes, in measures of eight slots, in waltzes and in jigs."""

from functools import lru_cache
from typing import NamedTuple

from melodex.banjo.right_hand import USUAL_FINGER
from melodex.errors import QueryError
from melodex.features.playing.rolls import (
    ALTERNATING_THUMB,
    BACKWARD,
    FORWARD,
    FORWARD_REVERSE,
    PINCH,
)
from melodex.model.metre import Metre

# A digit is the string of a slot, a dot a rest, "+" a pinch. A cyclic roll may begin with any
# finger. Common practice, no source.
_EIGHT = {
    FORWARD_REVERSE: ("32151231",),
    ALTERNATING_THUMB: ("32514251",),
    FORWARD: ("32152151", "21521521", "15215215"),
    BACKWARD: ("12512512", "31251251", "25125125"),
    PINCH: ("3.+.3.+.",),
}
_SIX = {
    FORWARD_REVERSE: ("321512",),
    ALTERNATING_THUMB: ("325142",),
    FORWARD: ("321521", "215215", "152152"),
    BACKWARD: ("125125", "312512", "251251"),
    PINCH: ("3.+.+.",),
}
# Of nine slots, the thumb strikes every other one except among the last three, then starts again.
_NINE = _SIX | {ALTERNATING_THUMB: ("325142512",)}
_JIG_PINCH = ("3.+3.+",)
# Rolls that accent beats of three eighths and of two. Common practice, no source.
_OF_JIGS = (FORWARD, BACKWARD)
_OF_WALTZES = (FORWARD_REVERSE, ALTERNATING_THUMB)
_EIGHTH = 8  # denominator of a metre
ROLLS = tuple(_EIGHT)
REST, PINCHED = 0, -1
_SIGNS = {".": REST, "+": PINCHED}
_ONE_STRING_LOWER = {3: 4, 2: 3}  # for a roll on strings 4, 3 and 1
_FINGERS = USUAL_FINGER | {REST: "", PINCHED: ""}
_FINGERS_ONE_STRING_LOWER = _FINGERS | {3: "I"}


class RollPattern(NamedTuple):
    """A roll filling a measure, slot by slot, repeated if the measure is longer."""

    roll: str
    strings: tuple[int, ...]  # 1 to 5, ``REST`` or ``PINCHED``
    index_on_third: bool  # whether the index finger, not the thumb, strikes string 3
    suits_the_metre: bool = True

    def finger_of(self, string: int) -> str:
        """Return the finger that strikes a string in this roll."""
        return (_FINGERS_ONE_STRING_LOWER if self.index_on_third else _FINGERS)[string]


def roll_named(name: str) -> str:
    """Return the canonical name of a roll.

    Raises
    ------
    QueryError
        If there is no such roll.
    """
    wanted = "-".join(name.casefold().split())
    if wanted not in ROLLS:
        raise QueryError(f"There is no roll called '{name}'.", f"use one of {', '.join(ROLLS)}.")
    return wanted


@lru_cache(maxsize=256)
def patterns_of(roll: str, metre: Metre, slots: int) -> tuple[RollPattern, ...]:
    """Return the ways to fill a measure with a roll, the one usually taught first.

    Parameters
    ----------
    slots : int
        Slots of a full measure.
    """
    in_threes = slots % 3 == 0
    texts = (_NINE if slots % 9 == 0 else _SIX if in_threes else _EIGHT)[roll]
    if roll == PINCH and in_threes and metre.numerator % 6 == 0:
        texts = _JIG_PINCH
    suits = not in_threes or roll == PINCH or roll in _usual_rolls(metre)
    upper = [tuple(_SIGNS[s] if s in _SIGNS else int(s) for s in text) for text in texts]
    lower = [tuple(_ONE_STRING_LOWER.get(s, s) for s in strings) for strings in upper]
    return (
        *(RollPattern(roll, strings, False, suits) for strings in upper),
        *(RollPattern(roll, strings, True, suits) for strings in lower if roll != PINCH),
    )


def _usual_rolls(metre: Metre) -> tuple[str, ...]:
    is_jig = metre.denominator == _EIGHTH and metre.numerator % 3 == 0
    return _OF_JIGS if is_jig else _OF_WALTZES
