"""Short licks of the common stock, composed, that fill a long note or close a tune.

All lie in first position of open G. Each is written as the strokes of successive slots:
string:fret and the right-hand finger, or "h" or "p" where the left hand sounds the note; "+" joins
what is struck together. Common practice, no source.
"""

import re
from typing import NamedTuple

from melodex.banjo.fretboard import FretPlace
from melodex.model.tuning import OPEN_G

_NOTE = re.compile(r"(\d):(\d+)([TIMhp])")
_BY_LEFT_HAND = "hp"
_G, _D, _E, _A = 7, 2, 4, 9  # pitch classes


class LickStep(NamedTuple):
    """What one slot of a lick sounds."""

    places: tuple[FretPlace, ...]
    fingers: str  # one letter for each place; "" where the left hand alone sounds it

    @property
    def pitch_classes(self) -> set[int]:
        """What sounds, 0 for C."""
        return {OPEN_G.pitch(*place) % 12 for place in self.places}


class ComposedLick(NamedTuple):
    """A lick, slot by slot."""

    steps: tuple[LickStep, ...]
    leads_to: int | None  # pitch class of the melody note that must follow; None for any

    @property
    def position(self) -> int:
        """The fret of the index finger."""
        return min(place.fret for step in self.steps for place in step.places if place.fret)

    @property
    def slurs(self) -> bool:
        """Whether the left hand sounds a note of it by itself."""
        return not all(step.fingers for step in self.steps)

    @property
    def ends_in_a_pinch(self) -> bool:
        """Whether it closes a tune."""
        return len(self.steps[-1].places) > 1


def _composed(text: str, leads_to: int | None = None) -> ComposedLick:
    return ComposedLick(tuple(_step(each) for each in text.split()), leads_to)


def _step(text: str) -> LickStep:
    notes = _NOTE.findall(text)
    fingers = "".join(how for *_, how in notes if how not in _BY_LEFT_HAND)
    return LickStep(tuple(FretPlace(int(string), int(fret)) for string, fret, _ in notes), fingers)


# Up from the low D; down and round; through a C chord; from D7 into G.
FILLS = (
    _composed("4:0T 4:2h 3:0I"),
    _composed("1:0M 4:2T 3:0I"),
    _composed("1:0M 4:0T 4:2h 3:0I"),
    _composed("1:0M 3:2T 3:0p 2:0I"),
    _composed("2:0I 1:0M 4:0T 4:2h 3:0I"),
    _composed("2:0I 1:0M 3:2T 3:0p 4:2I"),
    _composed("3:0T 3:2h 2:1I"),
    _composed("1:2M 3:0T 3:2h 2:1I"),
    _composed("2:1I 1:2M 4:0T 4:2h 2:1I"),
    _composed("4:2T 2:1I 1:2M"),
    _composed("3:2T 4:4I 1:0M"),
    _composed("4:0T 4:2h 4:4I", _G),
    _composed("1:0M 4:0T 4:2h 4:4I", _G),
    _composed("3:2T 1:0M 4:0T 4:2h 4:4I", _G),
    _composed("3:2T 3:0p 4:2I", _D),
    _composed("3:0T 2:0I 1:2M", _E),
    _composed("4:2T 3:0I 1:2M", _A),
)
# Into G, C, D, E minor and A minor, each closed by a pinch.
TAGS = (
    _composed("1:0M 4:0T 4:2h 3:0T 2:0I 1:0M+5:0T"),
    _composed("1:0M 3:2T 3:0p 4:2T 3:0I 1:0M+5:0T"),
    _composed("2:0I 3:2T 3:0p 4:2T 3:0I 1:0M+5:0T"),
    _composed("4:0T 4:2h 3:0I 1:0M+5:0T"),
    _composed("4:2T 3:0I 1:0M+5:0T"),
    _composed("2:1I 1:2M 3:0T 3:2h 2:1I 1:2M+5:0T"),
    _composed("3:0T 3:2h 2:1I 1:2M+5:0T"),
    _composed("3:0T 2:1I 1:2M+5:0T"),
    _composed("1:0M 4:2T 4:4h 3:2I 1:0M+4:0T"),
    _composed("4:4T 3:2I 1:0M+4:0T"),
    _composed("2:0I 1:2M 4:0T 4:2h 3:0I 1:2M+5:0T"),
    _composed("4:0T 4:2h 3:0I 1:2M+5:0T"),
    _composed("4:2T 3:0I 1:2M+5:0T"),
    _composed("2:1I 1:2M 3:0T 3:2h 2:1I 1:2M+3:2T"),
    _composed("3:2T 2:1I 1:2M+3:2T"),
)
